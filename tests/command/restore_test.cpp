// What a run keeps of ledger and books, and how it is taken back: no row is lost, whatever stands on either
// side.

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include "chained_book.h"
#include "job_folder.h"

using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

void write_job(JobFolder& job, const std::string& revision, const std::string& more = "") {
  job.write("drawing.csv", "point,x,y\nA,1,2\nB,3,4\nC,5,6\n");
  job.write("control.csv", "point,northing,easting\nCP1,100,200\n");
  job.write("job.toml", "revision = \"" + revision +
                            "\"\n[drawing]\npoints = \"drawing.csv\"\nframe = \"site\"\n[site]\ncontrol = "
                            "\"control.csv\"\n" +
                            more);
}

CommandResult run(const JobFolder& job, const std::string& out = "out") {
  CommandResult result = job.run({"run", ".", "--quiet", "--out", out});
  REQUIRE_MESSAGE(result.exit_code == 0, result.err);
  return result;
}
CommandResult restore(const JobFolder& job, const std::string& from = "out") {
  return job.run({"restore", ".", "--from", from});
}
/// Types a line that the program offered.
CommandResult shell(const JobFolder& job, const std::string& line) {
  CommandRun typed = job.prepared({"-c", "deckmark() { " DECKMARK_PROGRAM " \"$@\"; }; " + line});
  typed.program = "/bin/sh";
  return typed.run();
}

/// A job of two issues, both given, with two books; all of it kept in `out`.
struct Handed {
  JobFolder job;
  std::string first;
  explicit Handed(const std::string& more = "") {
    write_job(job, "A", more);
    run(job);
    first = first_digest(job.read(more.empty() ? "issued.csv" : "l/nr-issued.csv"));
    job.write("book.csv", book_of_notes(first, {"a", "b", "c"}));
    job.write("book-north.csv", book_of_notes(first, {"n"}));
    write_job(job, "B", more);
    run(job, "issued/1");
    REQUIRE(job.run({"give", ".", "--to", "north", "--on", "2026-11-25"}).exit_code == 0);
    run(job);
  }
  std::string book(std::vector<std::string> notes) const { return book_of_notes(first, notes); }
};

const std::vector<std::string> kAll = {"numbers.csv", "issued-control.csv", "issued.csv",
                                       "given.csv",   "book.csv",           "book-north.csv"};

}  // namespace

TEST_CASE("a run keeps ledger and books as they stood, and nothing of an issue tells of them") {
  const Handed handed;
  const JobFolder& job = handed.job;
  for (const std::string& name : kAll) {
    CAPTURE(name);
    CHECK(job.read("out/kept/" + name) == job.read(name));
  }
  // What was handed out before is kept as it stood then: issue 2 was made there, and nobody had it.
  CHECK(job.read("issued/1/kept/issued.csv") == job.read("issued.csv"));
  CHECK_FALSE(job.has("issued/1/kept/given.csv"));
  for (const char* name : {"out/SHA256SUMS", "out/summary.txt"}) CHECK_FALSE(has(job.read(name), "kept"));
  CHECK(has(job.run({"help", "files"}).out, "kept/NAME.csv"));
}

TEST_CASE("books change no byte of an issue's files") {
  JobFolder plain, with_book;
  for (JobFolder* job : {&plain, &with_book}) {
    write_job(*job, "A");
    run(*job);
  }
  with_book.write("book.csv", book_of_notes(first_digest(with_book.read("issued.csv")), {"a"}));
  run(with_book);
  auto here = plain.snapshot(), there = with_book.snapshot();
  CHECK(there.erase("book.csv") == 1);
  CHECK(there.erase("out/kept/book.csv") == 1);
  CHECK((here == there));
}

TEST_CASE("no file of a run replaces a book") {
  JobFolder job;
  write_job(job, "A", "[book]\nfile = \"out/points.csv\"\n");
  job.write("out/points.csv", kBookHeader);
  const auto before = job.snapshot();
  const CommandResult result = job.run({"run", ".", "--quiet"});
  check_refused(job, before, result);
  CHECK(has(result.err, "an output of this name that would replace a book"));
}

TEST_CASE("what is kept grows with the job, and is never given up for less") {
  Handed handed;
  JobFolder& job = handed.job;
  job.write("book.csv", handed.book({"a", "b", "c", "d"}));
  CHECK_FALSE(has(run(job).err, "kept"));
  CHECK(job.read("out/kept/book.csv") == handed.book({"a", "b", "c", "d"}));
  // A torn end is no row of its own.
  job.write("book.csv", handed.book({"a", "b", "c", "d"}) + "5,2026");
  run(job);
  job.write("book.csv", handed.book({"a", "b", "c", "d", "e"}));
  CHECK_FALSE(has(run(job).err, "kept"));
  struct Case {
    std::string name, now, told;
  };
  for (const Case& c : {Case{"book.csv", handed.book({"a"}), "it holds rows that \"book.csv\" has not"},
                        Case{"book.csv", handed.book({"x", "y", "z", "w", "v", "u"}), "has not"},
                        Case{"book-north.csv", "", "a book of which none stands beside the job"},
                        Case{"given.csv", "", "it holds rows that \"given.csv\" has not"}}) {
    CAPTURE(c.name);
    const std::string before = job.read(c.name), kept = job.read("out/kept/" + c.name);
    fs::remove(job.path() / c.name);
    if (!c.now.empty()) job.write(c.name, c.now);
    for (const char* command : {"check", "run"}) {
      const CommandResult result = job.run({command, ".", "--quiet"});
      CHECK(result.exit_code == 0);
      CHECK(has(result.err, "doubt: ./out/kept/" + c.name + ": file: "));
      CHECK(has(result.err, c.told));
      CHECK(has(result.err, "deckmark restore ./job.toml --from ./out"));
    }
    CHECK(job.read("out/kept/" + c.name) == kept);
    job.write(c.name, before);
  }
}

TEST_CASE("each file that is lost or damaged comes back, and is told in a line") {
  struct Case {
    const char* what;
    void (*spoil)(const Handed&, JobFolder&);
    std::vector<std::string> told;
  };
  for (const Case& c : std::vector<Case>{
           {"nothing", [](const Handed&, JobFolder&) {}, {}},
           {"a book lost", [](const Handed&, JobFolder& job) { fs::remove(job.path() / "book.csv"); },
            {"book.csv: 3 of 3 entries came back\n"}},
           {"a book behind", [](const Handed& h, JobFolder& job) { job.write("book.csv", h.book({"a"})); },
            {"book.csv: 2 of 3 entries came back\n"}},
           {"a book that is empty", [](const Handed&, JobFolder& job) { job.write("book.csv", ""); },
            {"book.csv: 3 of 3 entries came back\n"}},
           {"two books", 
            [](const Handed&, JobFolder& job) {
              fs::remove(job.path() / "book.csv");
              fs::remove(job.path() / "book-north.csv");
            },
            {"book.csv: 3 of 3 entries came back\n", "book-north.csv: 1 of 1 entry came back\n"}},
           {"a row changed by hand",
            [](const Handed& h, JobFolder& job) {
              std::string book = h.book({"a", "b", "c"});
              book.replace(book.find(",b,"), 3, ",x,");
              job.write("book.csv", book);
            },
            {"book.csv: 1 of 3 entries came back; 1 line that does not hold set aside in book.torn\n"}},
           {"a row taken out",
            [](const Handed& h, JobFolder& job) {
              std::string book = h.book({"a", "b", "c"});
              const std::size_t at = book.find("\n2,") + 1;
              job.write("book.csv", book.erase(at, book.find('\n', at) + 1 - at));
            },
            {"book.csv: 1 of 3 entries came back\n"}},
           {"the ledger lost", [](const Handed&, JobFolder& job) { fs::remove(job.path() / "numbers.csv"); },
            {"numbers.csv: 2 of 2 issues came back\n"}},
           {"ledger and issues lost",
            [](const Handed&, JobFolder& job) {
              fs::remove(job.path() / "numbers.csv");
              fs::remove(job.path() / "issued.csv");
            },
            {"numbers.csv: 2 of 2 issues came back\n"}},
           {"the issues lost", [](const Handed&, JobFolder& job) { fs::remove(job.path() / "issued.csv"); },
            {"numbers.csv: 2 of 2 issues came back\n"}},
           {"an older ledger",
            [](const Handed&, JobFolder& job) {
              const std::string issued = job.read("issued.csv");
              job.write("issued.csv", issued.substr(0, issued.find("\n2,") + 1));
            },
            {"numbers.csv: 1 of 2 issues came back\n"}},
           {"a number changed by hand",
            [](const Handed&, JobFolder& job) {
              std::string numbers = job.read("numbers.csv");
              numbers.replace(numbers.find("A,1001,live,1.0"), 15, "A,1001,live,1.1");
              job.write("numbers.csv", numbers);
            },
            {"numbers.csv: 2 issues, none was missing; 1 line that does not hold set aside in "
             "numbers.torn\n"}},
           {"who has it lost", [](const Handed&, JobFolder& job) { fs::remove(job.path() / "given.csv"); },
            {"given.csv: 1 of 1 row came back\n"}},
           {"the control lost",
            [](const Handed&, JobFolder& job) { fs::remove(job.path() / "issued-control.csv"); },
            {"issued-control.csv: 1 of 1 row came back\n"}}}) {
    for (const char* from : {"out", "out/kept"}) {
      CAPTURE(c.what);
      CAPTURE(from);
      Handed handed;
      JobFolder& job = handed.job;
      std::vector<std::string> whole;
      for (const std::string& name : kAll) whole.push_back(job.read(name));
      c.spoil(handed, job);
      const CommandResult result = restore(job, from);
      CAPTURE(result.out);
      CHECK_MESSAGE(result.exit_code == 0, result.err);
      for (std::size_t i = 0; i < kAll.size(); ++i) {
        CAPTURE(kAll[i]);
        CHECK(job.read(kAll[i]) == whole[i]);
      }
      for (const std::string& line : c.told) CHECK(has(result.out, line));
      CHECK(static_cast<std::size_t>(std::ranges::count(result.out, '\n')) >= 3);
      // Once more there is nothing to take back, and the job goes on.
      const auto after = job.snapshot();
      CHECK(restore(job, from).exit_code == 0);
      CHECK((job.snapshot() == after));
      CHECK_FALSE(has(run(job).err, "kept"));
    }
  }
}

TEST_CASE("rows that stand here and follow what is kept stay") {
  Handed handed;
  JobFolder& job = handed.job;
  std::string longer = handed.book({"a", "b", "c", "d", "e"});
  job.write("book.csv", longer);
  CHECK(has(restore(job).out, "book.csv: nothing to take back: 5 entries here, 3 there\n"));
  CHECK(job.read("book.csv") == longer);
  std::string changed = longer;
  changed.replace(changed.find(",b,"), 3, ",x,");
  job.write("book.csv", changed + "6,20");
  CHECK(has(restore(job).out,
            "book.csv: 1 of 5 entries came back; 2 lines that do not hold set aside in book.torn\n"));
  CHECK(job.read("book.csv") == longer);
  CHECK(has(job.read("book.torn"), ",x,"));
  CHECK(has(job.read("book.torn"), "\n6,20\n"));
  // A last row without its line feed is a row.
  job.write("book.csv", changed.substr(0, changed.size() - 1));
  CHECK(restore(job).exit_code == 0);
  CHECK(job.read("book.csv") == longer);
  // Who was given what since.
  job.write("given.csv", job.read("given.csv").substr(0, job.read("given.csv").find('\n') + 1));
  REQUIRE(job.run({"give", ".", "--to", "west", "--on", "2026-11-26"}).exit_code == 0);
  CHECK(has(restore(job).out, "given.csv: 1 of 1 row came back\n"));
  CHECK(has(job.read("given.csv"), ",north,"));
  CHECK(has(job.read("given.csv"), ",west,"));
}

namespace {

void another_entry(const Handed& handed, JobFolder& job) {
  job.write("book.csv", handed.book({"a", "b", "z"}));
}
void begun_anew(const Handed& handed, JobFolder& job) {
  job.write("book.csv", handed.book({"z"}));
  fs::remove(job.path() / "book-north.csv");
}
/// Where the folders of the issues were not at hand, an older ledger was gone on with.
void another_issue(const Handed&, JobFolder& job) {
  for (const char* name : {"numbers.csv", "issued.csv", "issued-control.csv"})
    job.write(name, job.read(std::string("first/kept/") + name));
  fs::remove(job.path() / "given.csv");
  const fs::path far = job.path() / "far/away";
  fs::create_directories(far);
  fs::rename(job.path() / "out", far / "out");
  fs::rename(job.path() / "issued", far / "issued");
  write_job(job, "C");
  run(job);
  fs::remove_all(job.path() / "out");
  fs::rename(far / "out", job.path() / "out");
}
void rows_alone(const Handed&, JobFolder& job) {
  fs::remove(job.path() / "issued.csv");
  job.write("numbers.csv", job.read("numbers.csv") + "D,1004,live\n");
}

}  // namespace

TEST_CASE("what was gone on with apart is refused, all of it, and what it says to type takes it back") {
  struct Case {
    const char* what;
    void (*fork)(const Handed&, JobFolder&);
    std::string told;
    std::vector<std::string> back;  // files that are as kept, once the line was typed
  };
  const std::string entry = "book.csv: file: found entry ", ledger = "numbers.csv: file: found ";
  for (const Case& c : {Case{"another last entry", another_entry, entry + "3, which ", {"book.csv"}},
                        Case{"a book begun anew, and one lost",
                             begun_anew,
                             entry + "1, which ",
                             {"book.csv", "book-north.csv"}},
                        Case{"another second issue",
                             another_issue,
                             ledger + "issue 2 with digest ",
                             {"numbers.csv", "issued.csv"}},
                        Case{"rows that are nowhere else",
                             rows_alone,
                             ledger + "1 row of it, which ",
                             {"issued.csv", "numbers.csv"}}}) {
    CAPTURE(c.what);
    Handed handed;
    JobFolder& job = handed.job;
    // An issue before: the ledger as it stood with issue 1 alone.
    for (const char* name : {"numbers.csv", "issued.csv", "issued-control.csv"}) {
      const std::string text = job.read(name);
      const std::string cut =
          std::string(name) == "issued.csv" ? text.substr(0, text.find("\n2,") + 1) : text;
      job.write(std::string("first/kept/") + name, cut);
    }
    c.fork(handed, job);
    const auto before = job.snapshot();
    const CommandResult result = restore(job);
    CAPTURE(result.err);
    check_refused(job, before, result);
    CHECK(has(result.err, c.told));
    CHECK(has(result.err, "nothing was taken back"));
    const auto problems = problem_lines(result.err);
    REQUIRE_FALSE(problems.empty());
    const std::string line = suggestion_of(problems.front());
    CHECK(line.starts_with("mkdir "));
    const CommandResult typed = shell(job, line);
    CHECK_MESSAGE(typed.exit_code == 0, typed.err);
    for (const std::string& name : c.back) CHECK(job.read(name) == job.read("out/kept/" + name));
    CHECK(fs::exists(job.path() / "ledger-before" /
                     (c.back.front().starts_with("book") ? "book.csv" : "numbers.csv")));
  }
}

TEST_CASE("the copy on a stick is taken back, and a ledger elsewhere in the job's folder") {
  Handed handed("[numbers]\nledger = \"l/nr.csv\"\n[book]\nfile = \"b/diary.csv\"\n");
  JobFolder& job = handed.job;
  job.write("b/diary.csv", handed.book({"a", "b"}));
  run(job);
  for (const char* name : {"nr.csv", "nr-issued.csv", "nr-given.csv", "nr-issued-control.csv", "diary.csv"})
    CHECK(job.has(std::string("out/kept/") + name));
  job.write("my stick/diary.csv", handed.book({"a", "b", "c"}));
  fs::remove_all(job.path() / "b");
  CHECK(restore(job, "my stick").out == "b/diary.csv: 3 of 3 entries came back\n");
  CHECK(job.read("b/diary.csv") == handed.book({"a", "b", "c"}));
  fs::remove_all(job.path() / "l");
  CHECK(has(restore(job).out, "l/nr.csv: 2 of 2 issues came back\n"));
  CHECK(job.read("l/nr.csv") == job.read("out/kept/nr.csv"));
  CHECK_FALSE(has(run(job).err, "kept"));
}

TEST_CASE("what is no place to take back from is refused") {
  struct Case {
    std::vector<std::string> args;
    std::string told;
  };
  Handed handed;
  JobFolder& job = handed.job;
  job.write("empty/notes.txt", "x\n");
  job.write("broken/kept/numbers.csv", job.read("numbers.csv"));
  job.write("broken/kept/issued.csv", "issue\n1\n");
  job.write("book/kept/book.csv", job.read("book.csv"));
  const CommandResult nothing = job.run({"restore", "."});
  CHECK(nothing.exit_code == 2);
  CHECK(has(nothing.err, "--from: found nothing, expected "));
  for (const Case& c : {Case{{"restore", ".", "--from", "nowhere"}, "neither ledger nor book of this job"},
                        Case{{"restore", ".", "--from", "empty"}, "neither ledger nor book of this job"},
                        Case{{"restore", ".", "--from", "broken"}, "a ledger that is not whole"},
                        Case{{"restore", "nojob", "--from", "out"}, "nojob: file: found no such file"}}) {
    const auto before = job.snapshot();
    const CommandResult result = job.run(c.args);
    CAPTURE(c.told);
    check_refused(job, before, result);
    CHECK_MESSAGE(has(result.err, c.told), result.err);
  }
  // Books follow the ledger's first issue.
  for (const char* name : {"numbers.csv", "issued.csv"}) fs::remove(job.path() / name);
  const auto before = job.snapshot();
  const CommandResult result = restore(job, "book");
  check_refused(job, before, result);
  CHECK(has(result.err, "the ledger first: the books follow its first issue"));
}

TEST_CASE("a ledger that is lost or behind is refused by a run, which says how it comes back") {
  for (const bool is_lost : {true, false}) {
    Handed handed;
    JobFolder& job = handed.job;
    const std::string issued = job.read("issued.csv");
    for (const char* name : {"numbers.csv", "issued.csv", "given.csv"}) fs::remove(job.path() / name);
    if (!is_lost) {
      job.write("issued.csv", issued.substr(0, issued.find("\n2,") + 1));
      job.write("numbers.csv", job.read("out/kept/numbers.csv"));
    }
    const CommandResult refused = job.run();
    CHECK(refused.exit_code == 2);
    const std::size_t at = refused.err.find("deckmark restore ");
    REQUIRE(at != std::string::npos);
    const CommandResult typed = shell(job, refused.err.substr(at, refused.err.find(';', at) - at));
    CHECK_MESSAGE(typed.exit_code == 0, typed.err);
    run(job);
    CHECK(job.read("issued.csv") == issued);
  }
}
