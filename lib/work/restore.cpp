#include "work/restore.h"

#include <fmt/format.h>

#include <algorithm>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <system_error>
#include <unordered_map>
#include <unordered_set>
#include <utility>
#include <vector>

#include "book/book.h"
#include "exporter/batch.h"
#include "job/ledger_in.h"
#include "measure/shell_word.h"
#include "work/job_texts.h"
#include "work/kept_files.h"
#include "work/read_books.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

constexpr const char* kHeld = "a dialogue holds this book; end it, then restore";

bool is_there(const fs::path& path) {
  std::error_code none;
  return fs::exists(fs::symlink_status(path, none));
}

/// Lines without their ends; a last one that is not ended stands apart.
struct Lines {
  explicit Lines(std::string_view text) {
    for (std::size_t at = 0; at < text.size();) {
      const std::size_t end = text.find('\n', at);
      if (end == text.npos) {
        unended = text.substr(at);
        return;
      }
      std::string_view line = text.substr(at, end - at);
      if (line.ends_with('\r')) line.remove_suffix(1);
      whole.push_back(line);
      at = end + 1;
    }
  }
  std::vector<std::string_view> whole;
  std::string_view unended;
};

/// What binds a row to those before it: its last cell.
std::string_view chain_of(std::string_view line) { return line.substr(line.rfind(',') + 1); }

std::string joined(const std::vector<std::string_view>& lines) {
  std::string out;
  for (const std::string_view line : lines) out.append(line).append("\n");
  return out;
}

std::string counted(std::size_t count, std::string_view one, std::string_view many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

class Restoring {
 public:
  Restoring(const Job& job, bool ledger_is_whole, const fs::path& from, Messages& messages)
      : job_(job), is_whole_(ledger_is_whole), typed_(from), messages_(messages) {
    std::error_code none;
    from_ = fs::is_directory(from / kKeptFolder, none) ? from / kKeptFolder : from;
  }

  /// Looks at all that is there; problems are told, and then nothing may be written.
  void look() {
    const std::vector<std::string> crews = crews_with_books(job_, from_);
    const LedgerFiles theirs = ledger_files_in(job_, from_);
    bool has_ledger = is_there(theirs.path());
    for (const std::string_view word : kBesideLedger) has_ledger |= is_there(theirs.path_beside(word));
    if (crews.empty() && !has_ledger) {
      messages_.problem(
          Where::whole(typed_.string()), "--from",
          Fault{"neither ledger nor book of this job",
                "an output folder of this job, its kept/, or the folder of the books' copy", ""});
      return;
    }
    if (is_whole_ && job_.ledger.ledger.last_issue() > 0) first_ = job_.ledger.ledger.issues().front().digest;
    if (has_ledger) ledger();
    if (!first_ && !crews.empty() && !messages_.has_problems() && forks_.empty())
      messages_.problem(Where::whole(job_.ledger_file), "file",
                        Fault{"a ledger without issues, or one that does not hold",
                              "the ledger first: the books follow its first issue", ""});
    if (first_)
      for (const std::string& crew : crews) book(crew);
    tell_forks();
  }
  void write(Batch& batch) {
    std::vector<OutputFile> files;
    for (Taken& t : taken_) {
      batch.make_folder(t.target.has_parent_path() ? t.target.parent_path() : fs::path("."));
      if (!t.aside.empty()) files.push_back({t.torn, std::move(t.aside), How::append});
      files.push_back({t.target, std::move(t.text)});
    }
    if (files.empty()) return;
    batch.stage(std::move(files));
    batch.commit({});
  }
  const std::string& text() const { return text_; }

 private:
  struct Taken {
    fs::path target;
    std::string text;
    fs::path torn{};
    std::string aside{};  ///< goes to `torn`
  };
  struct Fork {
    std::string file, found;
    std::vector<fs::path> paths;  ///< that are put aside together
  };

  void say(const std::string& file, const std::string& what) { text_ += visible(file) + ": " + what + "\n"; }
  /// What came back of so many rows, with what is told behind it.
  void say_back(const std::string& file, std::size_t all, std::size_t here, const char* one, const char* many,
                const std::string& behind) {
    say(file, here == all ? fmt::format("{}, none was missing{}", counted(all, one, many), behind)
                          : fmt::format("{} of {} came back{}", all - here, counted(all, one, many), behind));
  }
  static std::string set_aside(std::size_t lines, const fs::path& torn) {
    if (lines == 0) return {};
    return fmt::format("; {} that {} not hold set aside in {}", counted(lines, "line", "lines"),
                       lines == 1 ? "does" : "do", visible(torn.filename().string()));
  }

  void ledger() {
    Messages told;
    const auto found = read_ledger_in(job_, from_, told);
    const LedgerFiles theirs = ledger_files_in(job_, from_);
    if (!found) {
      messages_.problem(
          Where::whole(theirs.file), "file",
          Fault{"a ledger that is not whole", "kept/ of an output folder as a run left it", ""});
      return;
    }
    numbers(*found, theirs);
    for (const std::string_view word : {kControlWord, kGivenWord}) beside(word, theirs);
  }

  /// Ledger and issues are taken back together.
  void numbers(const LedgerFound& found, const LedgerFiles& theirs) {
    const std::vector<IssuedRow>& kept = found.ledger.issues();
    if (kept.empty()) return;
    const LedgerFiles own = job_.ledger_files();
    const auto known = [&](std::string_view digest) {
      return std::ranges::any_of(kept, [&](const IssuedRow& issue) { return issue.digest == digest; });
    };
    const std::string issued = bytes_of(own.path_beside(kIssuedWord)), rows = bytes_of(own.path());
    const Lines issued_here(issued), rows_here(rows);
    std::vector<std::string_view> others;
    for (std::size_t i = 1; i < issued_here.whole.size(); ++i)
      if (const std::string_view line = issued_here.whole[i]; !line.empty() && !known(chain_of(line)))
        others.push_back(line);
    const std::size_t here = issued_here.whole.empty() ? 0 : issued_here.whole.size() - 1;
    if (is_whole_ && here >= kept.size() && others.size() == here - kept.size()) {
      say(own.file, fmt::format("nothing to take back: {} here, {} there", counted(here, "issue", "issues"),
                                kept.size()));
      return;
    }
    const std::string text = bytes_of(theirs.path(), found.numbers.covered);
    const Lines rows_there(text);
    const std::unordered_set<std::string_view> held(rows_there.whole.begin(), rows_there.whole.end());
    std::vector<std::string_view> aside;
    for (const std::string_view line : rows_here.whole)
      if (!line.empty() && !held.contains(line)) aside.push_back(line);
    if (!rows_here.unended.empty() && !held.contains(rows_here.unended)) aside.push_back(rows_here.unended);
    if (!others.empty() || (here == 0 && !aside.empty())) {
      const std::string what =
          others.empty()
              ? counted(aside.size(), "row", "rows") + " of it"
              : fmt::format("issue {} with digest {}", others.front().substr(0, others.front().find(',')),
                            chain_of(others.front()));
      std::vector<fs::path> paths = {own.path()};
      for (const std::string_view word : kBesideLedger) paths.push_back(own.path_beside(word));
      forks_.push_back(
          {own.file, fmt::format("{}, which {} has not", what, in_quotes(from_.string())), std::move(paths)});
    }
    if (here == 0 && kept.back().job != job_.name_for_ledger())
      messages_.doubt("a ledger of another job file", Where::whole(theirs.file), "file",
                      fmt::format("it is that of {}: deckmark run asks with --take-over whether it is this "
                                  "job's",
                                  in_quotes(kept.back().job)));
    first_ = kept.front().digest;
    say_back(own.file, kept.size(), is_there(own.path()) ? here - others.size() : 0, "issue", "issues",
             set_aside(aside.size(), own.torn()));
    taken_.push_back({own.path(), ended(text), own.torn(), joined(aside)});
    taken_.push_back({own.path_beside(kIssuedWord),
                      ended(bytes_of(theirs.path_beside(kIssuedWord), found.issued.covered))});
  }

  static std::string ended(std::string text) {
    if (!text.empty() && text.back() != '\n') text += '\n';
    return text;
  }

  /// Rows that no digest binds: none that stands on either side is lost.
  void beside(std::string_view word, const LedgerFiles& theirs) {
    const fs::path target = job_.ledger_files().path_beside(word);
    const std::string here = bytes_of(target), there = ended(bytes_of(theirs.path_beside(word)));
    const Lines of_here(here), of_there(there);
    if (of_there.whole.size() < 2) return;
    const std::unordered_set<std::string_view> held(of_there.whole.begin(), of_there.whole.end());
    const std::unordered_set<std::string_view> stands(of_here.whole.begin(), of_here.whole.end());
    const auto missing = [&](std::string_view line) { return !line.empty() && !stands.contains(line); };
    const auto count =
        static_cast<std::size_t>(std::count_if(of_there.whole.begin() + 1, of_there.whole.end(), missing));
    if (count == 0) return;
    std::string text = there;
    for (const std::string_view line : of_here.whole)
      if (!line.empty() && !held.contains(line)) text.append(line).append("\n");
    say_back(job_.ledger_files().beside(word), of_there.whole.size() - 1, of_there.whole.size() - 1 - count,
             "row", "rows", "");
    taken_.push_back({target, std::move(text), job_.ledger_files().torn(), std::string(of_here.unended)});
  }

  void book(const std::string& crew) {
    const fs::path path = book_path(job_, crew), kept = from_ / path.filename();
    const std::string name = book_name(job_, crew);
    if (is_there(path)) locks_.push_back(std::make_unique<JobLock>(path, kHeld));
    const auto there = std::make_shared<const std::string>(bytes_of(kept));
    const BookFound theirs = read_book(there, crew, *first_);
    if (theirs.broken)
      messages_.doubt("a kept book that does not hold",
                      Where::at(kept.string(), {static_cast<std::uint32_t>(theirs.broken->line), 1}), "row",
                      fmt::format("{}: from here on nothing is taken back", theirs.broken->found));
    if (theirs.book.size() == 0) return say(name, "nothing to take back: no entry there holds");
    const std::string text = ended(there->substr(0, theirs.covered));
    const Lines rows(text);
    std::unordered_map<std::string_view, std::string_view> held;
    for (const std::string_view row : rows.whole) held.emplace(chain_of(row), row);
    const std::string here = bytes_of(path);
    const Lines own(here);
    std::vector<std::string_view> more, aside;
    std::size_t same = 0;
    const auto take = [&](std::string_view line) {
      const auto at = held.find(chain_of(line));
      if (at == held.end())
        more.push_back(line);
      else if (at->second == line)
        ++same;
      else
        aside.push_back(line);
    };
    for (const std::string_view line : own.whole)
      if (!line.empty() && line != rows.whole.front()) take(line);
    const std::size_t whole_lines = more.size();
    if (!own.unended.empty()) take(own.unended);
    auto all = std::make_shared<std::string>(text + joined(more));
    if (more.size() > whole_lines) all->pop_back();  // the last one has no line feed: maybe no whole row
    const BookFound now = read_book(all, crew, *first_);
    if (now.broken) {
      forks_.push_back({name,
                        fmt::format("entry {}, which {} has not, or has another row in its place",
                                    more.front().substr(0, more.front().find(',')), in_quotes(kept.string())),
                        {path}});
      return;
    }
    if (now.covered < all->size()) aside.push_back(std::string_view(*all).substr(now.covered));
    const std::string result = ended(all->substr(0, now.covered));
    if (result == ended(here)) {
      say(name, fmt::format("nothing to take back: {} here, {} there",
                            counted(now.book.size(), "entry", "entries"), theirs.book.size()));
      return;
    }
    say_back(name, now.book.size(), now.book.size() - theirs.book.size() + same, "entry", "entries",
             set_aside(aside.size(), torn_of(path)));
    taken_.push_back({path, result, torn_of(path), joined(aside)});
  }

  /// One line to type puts all aside that was gone on with apart.
  void tell_forks() {
    std::string moved, restore = fmt::format("deckmark restore {} --from {}", shell_word(job_.path.string()),
                                             shell_word(typed_.string()));
    for (const Fork& fork : forks_)
      for (const fs::path& path : fork.paths)
        if (is_there(path)) moved += " " + shell_word(path.string());
    fs::path to = job_.folder / kPutAside;
    for (int i = 2; is_there(to); ++i) to = job_.folder / fmt::format("{}-{}", kPutAside, i);
    const std::string word = shell_word(to.string());
    for (std::size_t i = 0; i < forks_.size(); ++i)
      messages_.problem(
          Where::whole(forks_[i].file), "file",
          Fault{
              forks_[i].found,
              "a folder that holds all that stands here, since no row is given up; is that folder right all "
              "the same, put aside what stands here",
              i == 0 ? fmt::format("mkdir {0} && mv{1} {0} && {2}", word, moved, restore) : std::string()});
  }

  const Job& job_;
  bool is_whole_;
  fs::path typed_, from_;
  Messages& messages_;
  std::optional<std::string> first_;  // digest that books follow
  std::vector<std::unique_ptr<JobLock>> locks_;
  std::vector<Taken> taken_;
  std::vector<Fork> forks_;
  std::string text_;
};

/// Problems of the job file that say where ledger and books are. What is wrong with the ledger itself is why
/// one restores.
void tell_job_file(PartMessages& told, const Job& job, Messages& messages) {
  messages.merge(std::move(told.of(Part::file)));
  for (const Part part : {Part::numbers, Part::book}) {
    Messages& of_part = told.of(part);
    const std::vector<Message> problems = of_part.sorted(Grade::problem);
    if (std::ranges::any_of(problems, [&](const Message& m) { return m.file == job.file; }))
      messages.merge(std::move(of_part));
  }
}

}  // namespace

JobOutcome restore_job(const JobRequest& request, const fs::path& from, Messages& messages) {
  std::optional<JobLock> job_lock;
  std::error_code none;
  if (const auto file = job_file_of(request.job); file && fs::is_regular_file(*file, none))
    job_lock.emplace(*file);
  Batch batch;
  Job job;
  PartMessages told;
  read_job(request.job, job, told,
           [&batch](const fs::path& ledger) { batch.hold_folder(ledger.parent_path()); });
  const bool ledger_is_whole = !told.is_spoiled(Part::numbers);
  tell_job_file(told, job, messages);
  if (from.empty())
    messages.problem(Where{}, "--from",
                     Fault{"nothing", "the folder from which ledger and books are taken back", "--from out"});
  if (messages.has_problems()) return ended_with_problems();
  Restoring restoring(job, ledger_is_whole, from, messages);
  restoring.look();
  if (messages.has_problems()) return ended_with_problems();
  restoring.write(batch);
  JobOutcome out;
  out.no_verdict = "what was taken back is no verdict on the job";
  out.text = restoring.text();
  return out;
}

}  // namespace deckmark
