#include "exporter/journal.h"

#include <algorithm>
#include <cerrno>
#include <cstring>
#include <system_error>
#include <utility>

#include "exporter/file_end.h"
#include "exporter/new_file.h"
#include "exporter/staged_file.h"
#include "exporter/stopping.h"
#include "measure/shell_word.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

constexpr const char* kHeld =
    "another dialogue holds this book; end that one, or give each crew a book of its own (--crew)";
constexpr const char* kStands = "the book holds every entry that was kept";

/// What a journal holds once its end is mended, while it may not be mended yet.
struct Whole {
  StagingFile& file;
  std::int64_t covered;
  std::string_view tail;  ///< what stands behind `covered` then

  std::int64_t size() const { return covered + static_cast<std::int64_t>(tail.size()); }
  /// Bytes read; 0 at the end.
  std::size_t read(char* data, std::size_t most, std::int64_t offset) const {
    if (offset < covered)
      return file.read(data, std::min(most, static_cast<std::size_t>(covered - offset)), offset);
    const std::size_t at = std::min(static_cast<std::size_t>(offset - covered), tail.size());
    const std::size_t got = std::min(most, tail.size() - at);
    std::memcpy(data, tail.data() + at, got);
    return got;
  }
};

/// What a copy holds beside its journal.
struct CopySeen {
  std::int64_t common = 0;  ///< bytes from its beginning that are the journal's
  std::int64_t whole = 0;   ///< bytes of its whole lines
  std::int64_t size = 0;
};

CopySeen look_at(StagingFile& copy, const Whole& journal) {
  CopySeen out;
  out.size = copy.size();
  const auto ours = std::make_unique<char[]>(kPieceBytes), its = std::make_unique<char[]>(kPieceBytes);
  bool is_same = true;
  for (std::int64_t at = 0; at < out.size;) {
    const std::size_t got = copy.read(its.get(), kPieceBytes, at);
    if (got == 0) break;
    for (std::size_t i = got; i > 0; --i)
      if (its[i - 1] == '\n') {
        out.whole = at + static_cast<std::int64_t>(i);
        break;
      }
    for (std::size_t i = 0; is_same && i < got;) {
      const std::size_t had = journal.read(ours.get(), got - i, at + static_cast<std::int64_t>(i));
      const auto differs = std::mismatch(ours.get(), ours.get() + had, its.get() + i).first - ours.get();
      out.common += differs;
      is_same = had > 0 && differs == static_cast<std::ptrdiff_t>(had);
      i += had;
    }
    at += static_cast<std::int64_t>(got);
  }
  return out;
}

/// Puts rows at the end. What fails leaves the file as it was, as far as the system allows, and says so.
void add_rows(StagingFile& file, std::string_view rows) {
  const std::int64_t before = file.size();
  try {
    file.write(rows.data(), rows.size());
    file.flush();
    std::string back(rows.size(), '\0');
    for (std::size_t at = 0; at < back.size();) {
      const std::size_t got =
          file.read(back.data() + at, back.size() - at, before + static_cast<std::int64_t>(at));
      if (got == 0) break;
      at += got;
    }
    if (back != rows)
      throw SystemFailure(file.target().string() + ": read back after writing, its end differs; the disk " +
                          "may be failing");
  } catch (const SystemFailure& why) {
    try {
      file.cut(before);
      file.flush();
    } catch (const SystemFailure& more) {
      throw SystemFailure(std::string(why.what()) + "; " + more.what() +
                          ": its end may hold what was not kept");
    }
    throw;
  }
}

/// The file as it is held, with `size` bytes and no more.
std::unique_ptr<StagingFile> open_grown(const FileCalls& calls, const fs::path& path, std::int64_t size) {
  auto file = StagingFile::existing(calls, path);
  if (!file) throw failure("open", path, ENOENT);
  if (file->size() != size)
    throw SystemFailure(path.string() + ": it was changed by another program meanwhile");
  return file;
}

/// Adds what the journal holds behind `from`.
void add_missing(StagingFile& copy, const Whole& journal, std::int64_t from) {
  const auto buffer = std::make_unique<char[]>(kPieceBytes);
  while (const std::size_t got = journal.read(buffer.get(), kPieceBytes, from)) {
    add_rows(copy, {buffer.get(), got});
    from += static_cast<std::int64_t>(got);
  }
}

std::string all_of(const Whole& journal) {
  std::string out(static_cast<std::size_t>(journal.size()), '\0');
  for (std::size_t at = 0; at < out.size();) {
    const std::size_t got = journal.read(out.data() + at, out.size() - at, static_cast<std::int64_t>(at));
    if (got == 0) throw failure("read", journal.file.target(), EIO);
    at += got;
  }
  return out;
}

/// A folder is never made: where a stick is not put in, its rows would go to the journal's own disk.
void require_folder(const fs::path& folder) {
  std::error_code bad;
  if (fs::is_directory(folder, bad)) return;
  throw failure("find", folder, fs::exists(folder, bad) ? ENOTDIR : ENOENT);
}

/// Nothing where there is no such file.
std::optional<CopySeen> look_at_copy(const FileCalls& calls, const fs::path& copy, const Whole& journal) {
  require_folder(folder_of(copy));
  const auto file = StagingFile::existing(calls, copy);
  if (!file) return std::nullopt;
  return look_at(*file, journal);
}

/// Why a copy is not written on; nothing where it is the beginning of the journal.
std::optional<Fault> refusal(const CopySeen& copy, const fs::path& path, const Whole& journal) {
  if (copy.common >= copy.whole) return std::nullopt;
  const std::string restore = "deckmark restore JOB --from " + shell_word(folder_of(path).string());
  return Fault{"a copy with rows that the book has not, " + in_quotes(path.string()),
               copy.common == journal.size()
                   ? "a book with these rows: take them back from there (" + restore + ")"
                   : "a copy of this book: is it that of another job, move it away; is the book the wrong "
                     "one, move that away and take this one back (" +
                         restore + ")",
               ""};
}

/// Cuts off what is torn, which goes to `torn`. Bytes moved.
std::uint64_t move_torn(const FileCalls& calls, const fs::path& path, std::int64_t keep,
                        const fs::path& torn) {
  Tail tail{path, keep, torn};
  const auto file = StagingFile::existing(calls, path);
  if (!file || file->size() <= keep) return 0;
  try {
    move_tail(calls, tail);
  } catch (const SystemFailure&) {
    try {
      put_tail_back(calls, tail);
    } catch (const SystemFailure&) {
      // Then it is in both, and the next dialogue moves it again.
    }
    throw;
  }
  return static_cast<std::uint64_t>(file->size() - keep);
}

/// Makes the copy hold what the journal holds.
void bring_up(const FileCalls& calls, const fs::path& copy, const std::optional<CopySeen>& seen,
              const Whole& journal, const fs::path& torn) {
  if (!seen) {
    if (!write_new_file(copy, all_of(journal), calls)) throw failure("write", copy, EEXIST);
    return;
  }
  const std::int64_t keep = seen->size > seen->common ? seen->whole : seen->size;
  (void)move_torn(calls, copy, keep, torn);
  add_missing(*open_grown(calls, copy, keep), journal, keep);
}

}  // namespace

HeldJournal::HeldJournal(fs::path path, std::string header, const FileCalls& calls)
    : calls_(calls), path_(std::move(path)), header_(std::move(header)) {
  std::error_code none;
  if (!fs::exists(fs::symlink_status(path_, none))) made_ = write_new_file(path_, header_, calls_);
  lock_ = std::make_unique<JobLock>(path_, kHeld);
}

HeldJournal::~HeldJournal() {
  if (!made_ || has_rows_ || !lock_->is_on(path_)) return;
  FileStep step;
  retried([&] { return calls_.unlink(path_.c_str()); });
}

std::string HeldJournal::without_copy(std::string_view why) {
  const std::string folder = copy_.parent_path().string();
  copy_.clear();
  return "no copy in " + folder + " from here on, the book itself is kept: " + std::string(why);
}

HeldJournal::Begun HeldJournal::begin(const Found& found, const Places& places) {
  FileStep step;
  Begun out;
  const auto covered = static_cast<std::int64_t>(found.covered);
  const auto file = StagingFile::existing(calls_, path_);
  if (!file || file->size() < covered) throw SystemFailure(path_.string() + ": it was replaced meanwhile");
  const std::string_view tail = found.lacks_line_feed ? "\n" : "";
  const Whole whole{*file, covered, covered == 0 ? std::string_view(header_) : tail};
  const auto with_copy = [&](const auto& work) {
    if (copy_.empty()) return;
    try {
      work();
    } catch (const SystemFailure& why) {
      out.copy_lost = without_copy(why.what());
    }
  };
  if (!places.copy_folder.empty()) copy_ = places.copy_folder / path_.filename();
  std::optional<CopySeen> seen;
  with_copy([&] { seen = look_at_copy(calls_, copy_, whole); });
  if (seen && lock_->is_on(copy_))
    out.refused =
        Fault{"the book's own folder as that of its copy, " + in_quotes(places.copy_folder.string()),
              "a folder on another disk", ""};
  else if (seen)
    out.refused = refusal(*seen, copy_, whole);
  if (out.refused) return out;
  out.torn = move_torn(calls_, path_, covered, places.torn);
  if (!whole.tail.empty()) add_rows(*open_grown(calls_, path_, covered), whole.tail);
  with_copy([&] { bring_up(calls_, copy_, seen, whole, places.copy_folder / places.torn.filename()); });
  size_ = whole.size();
  is_broken_ = false;
  step.done(kStands);
  return out;
}

std::string HeldJournal::append(std::string_view rows) {
  FileStep step;
  try {
    if (std::exchange(is_broken_, true))
      throw SystemFailure(path_.string() + ": it takes no further row since the last one failed");
    if (!lock_->is_on(path_))
      throw SystemFailure(path_.string() + ": it was moved or replaced while this dialogue held it");
    add_rows(*open_grown(calls_, path_, size_), rows);
  } catch (const SystemFailure&) {
    step.failed();
    throw;
  }
  is_broken_ = false;
  has_rows_ = true;
  const std::int64_t before = std::exchange(size_, size_ + static_cast<std::int64_t>(rows.size()));
  step.done(kStands);
  if (copy_.empty()) return {};
  try {
    add_rows(*open_grown(calls_, copy_, before), rows);
  } catch (const SystemFailure& why) {
    return without_copy(why.what());
  }
  return {};
}

}  // namespace deckmark
