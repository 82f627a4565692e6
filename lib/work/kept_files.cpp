#include "work/kept_files.h"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <system_error>
#include <utility>

#include "measure/shell_word.h"
#include "work/outputs.h"
#include "work/read_books.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

bool is_file(const fs::path& path) {
  std::error_code none;
  return fs::is_regular_file(path, none);
}

/// Whether a file holds so many bytes of another one, and no others.
bool is_same(const fs::path& kept, const fs::path& path, std::uint64_t most) {
  std::error_code bad;
  const std::uintmax_t size = std::min<std::uintmax_t>(fs::file_size(path, bad), most);
  if (bad || !is_file(kept) || fs::file_size(kept, bad) != size || bad) return false;
  std::ifstream here(path, std::ios::binary), there(kept, std::ios::binary);
  constexpr std::size_t kPiece = 1U << 18U;
  std::string a(kPiece, '\0'), b(kPiece, '\0');
  for (std::uintmax_t at = 0; at < size;) {
    const auto wanted = static_cast<std::streamsize>(std::min<std::uintmax_t>(kPiece, size - at));
    here.read(a.data(), wanted);
    there.read(b.data(), wanted);
    if (here.gcount() != wanted || there.gcount() != wanted || a != b) return false;
    at += static_cast<std::uintmax_t>(wanted);
  }
  return true;
}

/// All but a last line that is not ended.
std::string_view whole_lines(std::string_view text) { return text.substr(0, text.rfind('\n') + 1); }

}  // namespace

std::optional<std::string> bytes_in(const fs::path& path, std::uint64_t most) {
  std::error_code bad;
  const std::uintmax_t size = fs::file_size(path, bad);
  if (bad || !is_file(path)) return std::nullopt;
  std::ifstream in(path, std::ios::binary);
  if (!in) return std::nullopt;
  std::string out(static_cast<std::size_t>(std::min<std::uintmax_t>(size, most)), '\0');
  in.read(out.data(), static_cast<std::streamsize>(out.size()));
  if (in.bad()) return std::nullopt;
  out.resize(static_cast<std::size_t>(std::max<std::streamsize>(in.gcount(), 0)));
  return out;
}

std::string bytes_of(const fs::path& path, std::uint64_t most) {
  return bytes_in(path, most).value_or(std::string());
}

std::vector<fs::path> growing_files(const Job& job) {
  std::vector<fs::path> out = {job.ledger_path};
  for (const std::string_view word : kBesideLedger) out.push_back(job.ledger_files().path_beside(word));
  for (fs::path& book : book_paths(job)) out.push_back(std::move(book));
  return out;
}

/// Bytes of a file that count: of the ledger's what was handed out, of a book all that stands there.
std::uint64_t KeptFiles::covered(const fs::path& path) const {
  const LedgerFiles files = job_.ledger_files();
  const LedgerFound& found = job_.ledger;
  const auto of = [](const Journal& journal) { return journal.stands ? journal.covered : 0; };
  if (path == files.path()) return of(found.numbers);
  if (path == files.path_beside(kIssuedWord)) return of(found.issued);
  if (path == files.path_beside(kGivenWord)) return of(found.given_file);
  if (path == files.path_beside(kControlWord)) return of(found.control_journal);
  return UINT64_MAX;
}

/// The same bytes; a last row of the ledger gets its line feed.
std::string KeptFiles::counted(const fs::path& path) const {
  const std::uint64_t most = covered(path);
  std::string text = bytes_of(path, most);
  if (most < UINT64_MAX && !text.empty() && text.back() != '\n') text += '\n';
  return text;
}

void KeptFiles::add(const fs::path& target, std::unique_ptr<WrittenTable> table, How how) {
  auto at = std::ranges::find(added_, target, &Growing::path);
  if (at == added_.end())
    at = added_.insert(added_.end(), {target, how == How::append ? counted(target) : "", nullptr});
  if (how == How::replace) {
    at->text.clear();
    at->alone.reset();
  }
  if (at->text.empty() && !at->alone) {
    at->alone = std::move(table);
    return;
  }
  if (at->alone) at->text = csv_of(*std::exchange(at->alone, nullptr));
  at->text += csv_of(*table);
}

/// Whether what is kept is the beginning of what stands. The issues speak for the ledger, which is long and
/// bound to them by their digests.
bool KeptFiles::may_replace(const fs::path& kept, const fs::path& path) const {
  const LedgerFiles files = job_.ledger_files();
  if (path == files.path()) {
    const fs::path issued = files.path_beside(kIssuedWord);
    return !is_file(kept) || may_replace(kept.parent_path() / issued.filename(), issued);
  }
  if (!is_file(kept)) return true;
  const std::string before = bytes_of(kept);
  return counted(path).starts_with(whole_lines(before));
}

std::vector<fs::path> KeptFiles::targets(const fs::path& out) const {
  std::vector<fs::path> targets;
  for (const fs::path& path : growing_files(job_)) targets.push_back(out / kKeptFolder / path.filename());
  return targets;
}

void KeptFiles::tell(const fs::path& out, Messages& messages) const {
  const fs::path folder = out / kKeptFolder;
  std::error_code none;
  const fs::file_status stands = fs::symlink_status(folder, none);
  if (fs::exists(stands) && !fs::is_directory(folder, none))
    messages.doubt("a file that another made", Where::whole(folder.string()), "file",
                   "a file of this name is in the way, so that a run will fail: move it, or choose another "
                   "folder with --out");
  std::vector<std::string> names;
  for (const fs::path& path : growing_files(job_)) {
    const std::string name = path.filename().string();
    if (std::ranges::count(names, name) > 0)
      messages.problem(Where::whole(job_.file), "book.file",
                       Fault{in_quotes(name) + " as the name of two files, of the ledger and of a book",
                             "names that differ: both are kept in one folder", ""});
    names.push_back(name);
  }
  for (const KeptAhead& kept : ahead(out))
    messages.doubt("rows that stand in kept/ alone", Where::whole(kept.path.string()), "file",
                   fmt::format("{}: take it back ({}), or move it away; until then it stays as it is",
                               kept.why, way_back(out)));
}

std::string KeptFiles::way_back(const fs::path& out) const {
  return fmt::format("deckmark restore {} --from {}", shell_word(job_.path.string()),
                     shell_word(out.string()));
}

std::vector<KeptAhead> KeptFiles::ahead(const fs::path& out) const {
  const fs::path folder = out / kKeptFolder;
  const std::vector<fs::path> books = book_paths(job_);
  std::vector<KeptAhead> found;
  // The ledger is as the issues are, which are told.
  for (const fs::path& path : growing_files(job_))
    if (const fs::path kept = folder / path.filename(); path != job_.ledger_path && !may_replace(kept, path))
      found.push_back({kept,
                       fmt::format("it holds rows that {} has not", in_quotes(path.filename().string())),
                       std::ranges::count(books, path) > 0});
  for (const std::string& crew : crews_with_books(job_, folder))
    if (const fs::path path = book_path(job_, crew); std::ranges::count(books, path) == 0)
      found.push_back({folder / path.filename(), "a book of which none stands beside the job", true});
  return found;
}

std::vector<OutputFile> KeptFiles::files(const fs::path& out) {
  std::vector<OutputFile> files;
  for (const fs::path& path : growing_files(job_)) {
    const fs::path target = out / kKeptFolder / path.filename();
    if (!may_replace(target, path)) continue;
    const auto added = std::ranges::find(added_, path, &Growing::path);
    if (added == added_.end()) {
      if (is_same(target, path, covered(path))) continue;
      if (std::string text = counted(path); !text.empty()) files.push_back({target, std::move(text)});
    } else if (added->alone) {
      files.push_back({target, std::move(added->alone)});
    } else {
      files.push_back({target, std::move(added->text)});
    }
  }
  return files;
}

}  // namespace deckmark
