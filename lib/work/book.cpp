#include "work/book.h"

#include <fmt/format.h>
#include <sys/stat.h>

#include <algorithm>
#include <chrono>
#include <ctime>
#include <utility>
#include <vector>

#include "exporter/journal.h"
#include "issues/changes.h"
#include "job/folder_words.h"
#include "job/stored_points.h"
#include "work/chosen_issue.h"
#include "work/computation.h"
#include "work/doing.h"
#include "work/job_texts.h"
#include "work/kept_files.h"
#include "work/read_books.h"
#include "work/typed.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

/// Whether a file is the one that it was, as far as the system tells.
struct Stamp {
  std::int64_t size = -1, seconds = 0, nanoseconds = 0;
  std::uint64_t file = 0;
  friend bool operator==(const Stamp&, const Stamp&) = default;
};
Stamp stamp_of(const fs::path& path) {
  struct stat s {};
  if (::stat(path.c_str(), &s) != 0) return {};
  return {s.st_size, s.st_mtim.tv_sec, s.st_mtim.tv_nsec, s.st_ino};
}

/// Local time with its offset, whole seconds.
BookClock clock_now() {
  const auto now = std::chrono::system_clock::now();
  const std::time_t seconds = std::chrono::system_clock::to_time_t(now);
  std::tm local{};
  ::localtime_r(&seconds, &local);
  const long minutes = local.tm_gmtoff / 60, size = std::abs(minutes);
  return {fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}{}{:02}:{:02}", local.tm_year + 1900,
                      local.tm_mon + 1, local.tm_mday, local.tm_hour, local.tm_min, local.tm_sec,
                      minutes < 0 ? '-' : '+', size / 60, size % 60),
          std::int64_t{seconds} * 1000};
}

/// A time that an instrument stored: where it has no offset, that of the clock is meant.
std::optional<BookClock> stored_time(std::string_view text, const BookClock& now) {
  for (const std::string& time :
       {std::string(text), std::string(text) + now.time.substr(without_offset(now.time).size())})
    if (const auto at = instant_of(time)) return BookClock{time, *at};
  return std::nullopt;
}

std::vector<const Book*> views_of(const std::vector<BookFile>& files) {
  std::vector<const Book*> out;
  for (const BookFile& f : files) out.push_back(&f.found.book);
  return out;
}

}  // namespace

struct CrewBook::Held {
  std::unique_ptr<Computation> c;
  BookFacts facts;
  std::unique_ptr<HeldJournal> journal;
  std::size_t torn = 0;
  std::string copy_lost;
  std::string crew, setup;
  std::optional<BookClock> stated;  ///< the time that was typed
  BookFile own;
  std::vector<BookFile> others;
  Stamp issued, folder;
  std::vector<Stamp> other_stamps;
  std::unique_ptr<Dialogue> dialogue;

  explicit Held(BookFile book) : own(std::move(book)) {}
  /// All books by the names of their crews, and which of them is held.
  std::pair<std::vector<const Book*>, std::uint32_t> books() const {
    std::vector<const Book*> out = views_of(others);
    const auto at = std::lower_bound(out.begin(), out.end(), &own.found.book,
                                     [](const Book* a, const Book* b) { return a->name() < b->name(); });
    const auto index = static_cast<std::uint32_t>(at - out.begin());
    out.insert(at, &own.found.book);
    return {std::move(out), index};
  }
  fs::path issued_path() const { return c->job.ledger_files().path_beside(kIssuedWord); }
  fs::path folder_path() const {
    const fs::path parent = own.path.parent_path();
    return parent.empty() ? fs::path(".") : parent;
  }
  void take_stamps() {
    folder = stamp_of(folder_path());
    other_stamps.clear();
    for (const BookFile& f : others) other_stamps.push_back(stamp_of(f.path));
  }
  bool read_others(Messages& messages);
  void look_at_ledger();
  void look_at_others();
};

/// The books of the other crews; false where one does not hold (told).
bool CrewBook::Held::read_others(Messages& messages) {
  const std::size_t before = messages.problems();
  BooksFound found = read_books(c->job, messages, crew);
  if (messages.problems() > before) return false;
  others = std::move(found.files);
  return true;
}

void CrewBook::Held::look_at_ledger() {
  const Stamp now = stamp_of(issued_path());
  if (now == issued) return;
  Job job;
  PartMessages told;
  read_job(c->job.path, job, told);
  // A run that is under way: the next line looks again.
  if (told.is_spoiled(Part::numbers)) return;
  issued = now;
  NewerIssue newer{job.ledger.ledger.last_issue(), {}};
  if (newer.issue <= facts.issue) return;
  for (const Candidate& n : candidates_since(job.ledger.ledger, facts.issue))
    newer.numbers.push_back(n.number);
  dialogue->hear(std::move(newer));
}

void CrewBook::Held::look_at_others() {
  std::vector<Stamp> now;
  for (const BookFile& f : others) now.push_back(stamp_of(f.path));
  if (now == other_stamps && stamp_of(folder_path()) == folder) return;
  // One that does not hold now is taken as it stood.
  Messages told;
  if (!read_others(told)) return take_stamps();
  auto [books, index] = this->books();
  dialogue->hear(std::move(books), index);
  take_stamps();
}

CrewBook::CrewBook(std::unique_ptr<Held> held) : held_(std::move(held)) {}
CrewBook::~CrewBook() = default;

namespace {

/// What is typed beside the job.
void refuse_call(const BookCall& call, Messages& messages) {
  is_typed_text("--by", call.by, "who writes into the book", "--by \"Ada\"", messages);
  if (call.tape && !call.setup.empty())
    messages.problem(Where{}, "--tape", Fault{"--setup too", "one of the two", ""});
}

/// The ledger, and what the dialogue needs beside it.
Shown shown_of(const BookCall& call) {
  Shown out{{Stage::numbers}};
  out.parts = {Part::book};
  if (!call.crew.empty()) out.parts.push_back(Part::crews);
  if (call.tape) out.stages.push_back(Stage::offsets);
  if (call.setup.empty() && !call.reads_file) return out;
  out.stages.push_back(Stage::setups);
  if (!call.reads_file) out.setup = call.setup;
  return out;
}

}  // namespace

namespace {

/// A book that has lost rows which a run kept would be gone on with as another one.
bool is_behind(const Job& job, Messages& messages) {
  const KeptFiles kept(job);
  const fs::path out = job.folder / kWorkingFolder;
  bool found = false;
  for (const KeptAhead& ahead : kept.ahead(out)) {
    if (!ahead.is_book) continue;
    found = true;
    messages.problem(
        Where::whole(ahead.path.string()), "file",
        Fault{ahead.why, "these taken back before anything is added: " + kept.way_back(out), ""});
  }
  return found;
}

}  // namespace

std::unique_ptr<CrewBook> CrewBook::begin(const BookCall& call, Messages& messages) {
  refuse_call(call, messages);
  auto c = computed({.job = call.job}, Need::measured);
  messages.merge(c->take_told(shown_of(call)));
  if (!messages.has_problems()) has_issues(*c, messages);
  if (messages.has_problems()) return nullptr;
  auto facts = book_facts(*c, call.setup, call.crew, call.tape, messages);
  if (!facts) return nullptr;

  now_doing("reading the book");
  const Job& job = c->job;
  auto journal = std::make_unique<HeldJournal>(book_path(job, facts->crew), Book::header());
  auto held = std::make_unique<Held>(read_book_file(job, facts->crew, messages));
  held->crew = facts->crew;
  held->setup = call.setup;
  if (const auto at = instant_of(call.at)) held->stated = BookClock{call.at, *at};
  held->c = std::move(c);
  if (messages.has_problems() || !held->read_others(messages)) return nullptr;
  if (is_behind(job, messages)) return nullptr;
  const BookFound& found = held->own.found;
  const fs::path copy = job.book.copy ? job.folder / fs::path(*job.book.copy) : fs::path();
  auto begun = journal->begin({found.covered, found.lacks_line_feed}, {torn_of(held->own.path), copy});
  if (begun.refused) {
    messages.problem(Where::whole(held->own.file), "copy", *begun.refused);
    return nullptr;
  }
  held->torn = static_cast<std::size_t>(begun.torn);
  held->copy_lost = std::move(begun.copy_lost);
  held->journal = std::move(journal);
  held->facts = *std::move(facts);
  BookRequest request{call.by, call.setup, call.tape, std::nullopt};
  if (!call.at.empty()) request.at = call.at;
  auto [books, index] = held->books();
  held->dialogue = std::make_unique<Dialogue>(held->facts, std::move(request), held->own.found.book,
                                              std::move(books), index);
  held->issued = stamp_of(held->issued_path());
  held->take_stamps();
  return std::unique_ptr<CrewBook>(new CrewBook(std::move(held)));
}

const BookFacts& CrewBook::facts() const { return held_->facts; }
LengthUnit CrewBook::drawing_unit() const { return held_->c->job.drawing_unit; }
int CrewBook::denominator() const { return held_->c->job.offsets.options.form.denominator; }

/// Writes what an answer keeps; told is then only what is on the disk.
BookAnswer CrewBook::written(BookAnswer answer) {
  std::string lost = std::exchange(held_->copy_lost, {});
  if (!answer.rows.empty()) {
    std::string now = held_->journal->append(answer.rows);
    if (lost.empty()) lost = std::move(now);
  }
  if (lost.empty()) return answer;
  Said told;
  told.text = std::move(lost);
  told.line = "tell " + told.text;
  // Behind what stands first, before what is waited for.
  const auto before = answer.said.empty() ? answer.said.end() : std::prev(answer.said.end());
  answer.said.insert(before, std::move(told));
  return answer;
}

void CrewBook::look() {
  held_->look_at_ledger();
  held_->look_at_others();
}

BookAnswer CrewBook::open() { return written(held_->dialogue->open(held_->torn, clock_now())); }
BookAnswer CrewBook::take(std::string_view line) {
  look();
  return written(held_->dialogue->take(line, clock_now()));
}
BookAnswer CrewBook::finish() { return written(held_->dialogue->finish(clock_now())); }
BookAnswer CrewBook::ticks(std::string_view text, std::string_view sheet) {
  return written(held_->dialogue->ticks(text, sheet, clock_now()));
}

BookAnswer CrewBook::read(const fs::path& file, Messages& messages) {
  const auto stored = read_stored_points(file, held_->c->job.site_unit, messages);
  if (!stored) return {};
  const BookClock now = held_->stated ? *held_->stated : clock_now();
  std::vector<FilePoint> points;
  BookClock before = now;
  for (std::size_t i = 0; i < stored->rows.size(); ++i) {
    const StoredPoint& p = stored->rows[i];
    if (!p.time.empty()) {
      const auto time = stored_time(p.time, now);
      if (!time)
        messages.problem(stored->where(i, "time"), "time",
                         Fault{in_quotes(p.time), "ISO 8601, such as 2026-11-28T14:40:00+01:00", ""});
      else if (i > 0 && time->at < before.at)
        messages.problem(
            stored->where(i, "time"), "time",
            Fault{in_quotes(p.time) + ", earlier than the row before", "rows by time: sort the file", ""});
      before = time.value_or(before);
    }
    points.push_back({p.point, p.at, p.elevation, p.setup.empty() ? held_->setup : p.setup, before,
                      !p.time.empty(), p.reading});
  }
  if (messages.has_problems()) return {};
  std::vector<FileFault> faults;
  BookAnswer answer = held_->dialogue->file(points, now, faults);
  for (const FileFault& f : faults) messages.problem(stored->where(f.point, f.column), f.column, f.no.why);
  return written(std::move(answer));
}

}  // namespace deckmark
