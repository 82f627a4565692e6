// The file of a book under the dialogue: one crew at a time, a disk that is full, a stick that is pulled out.

#include <doctest/doctest.h>

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include "chained_book.h"
#include "job_folder.h"
#include "piped_dialogue.h"

using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }
bool has_line(const std::vector<std::string>& lines, const std::string& begin) {
  return std::ranges::any_of(lines, [&](const std::string& line) { return line.starts_with(begin); });
}
std::string all(const std::vector<std::string>& lines) {
  std::string out;
  for (const std::string& line : lines) out += line + "\n";
  return out;
}

/// A job with an issue, and a stick that its book names.
struct Ready {
  JobFolder job;
  explicit Ready(const std::string& more = "copy = \"stick\"\n") {
    write_book_job(job.path(), 40, more);
    fs::create_directory(job.path() / "stick");
    REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  }
  std::string first() const { return first_digest(job.read("issued.csv")); }
};

/// Opens, and reads the first target.
std::vector<std::string> checked(PipedDialogue& dialogue) {
  std::vector<std::string> opened = dialogue.answer();
  REQUIRE_FALSE(opened.empty());
  REQUIRE_MESSAGE(opened.back().starts_with("wait check "), all(opened));
  REQUIRE(dialogue.type(exact_reading(opened.back().substr(11))));
  REQUIRE(has_line(dialogue.answer(), "wait mark 1001"));
  return opened;
}
std::vector<std::string> typed(PipedDialogue& dialogue, const std::string& line) {
  dialogue.type(line);
  return dialogue.answer();
}

}  // namespace

TEST_CASE("two dialogues on one book: the second ends with 3, the first and all readers go on") {
  Ready ready;
  JobFolder& job = ready.job;
  PipedDialogue first(DECKMARK_PROGRAM, job.path());
  checked(first);
  const CommandResult second = job.run({"book", ".", "--by", "Lee", "--setup", "S1"});
  CHECK(second.exit_code == 3);
  CHECK(has(second.err, "another dialogue holds this book"));
  CHECK(second.out.empty());
  // A run keeps the book meanwhile, and does not wait.
  CHECK(job.run({"run", ".", "--quiet"}).exit_code == 0);
  CHECK(job.read("out/kept/book.csv") == job.read("book.csv"));
  CHECK(job.run({"restore", ".", "--from", "out"}).exit_code == 3);
  CHECK(has_line(typed(first, exact_reading("1001")), "wait keep 1001"));
  CHECK(has_line(typed(first, "y"), "kept 3 marked 1001 floor -"));
  CHECK(first.end() == 0);
  PipedDialogue after(DECKMARK_PROGRAM, job.path());
  CHECK(has_line(after.answer(), "open 3 1"));
}

TEST_CASE("a full disk ends with 3: what was acknowledged stands, no half row does") {
  Ready ready("");
  JobFolder& job = ready.job;
  {
    PipedDialogue dialogue(DECKMARK_PROGRAM, job.path());
    checked(dialogue);
  }
  const std::string before = job.read("book.csv");
  for (const rlim_t room : {rlim_t{1}, rlim_t{60}, rlim_t{150}}) {
    CAPTURE(room);
    PipedDialogue dialogue(DECKMARK_PROGRAM, job.path(), before.size() + room);
    CHECK(has_line(dialogue.answer(), "resumed S1"));
    const std::vector<std::string> answer = typed(dialogue, "note: " + std::string(150, 'x'));
    CHECK_FALSE(has_line(answer, "kept "));
    CHECK(dialogue.end() == 3);
    CHECK(has(job.read("told.txt"), "cannot write "));
    CHECK(job.read("book.csv") == before);
  }
}

TEST_CASE("a dialogue that is asked to stop says what stands") {
  for (const int signal : {SIGTERM, SIGINT}) {
    Ready ready;
    PipedDialogue dialogue(DECKMARK_PROGRAM, ready.job.path());
    checked(dialogue);
    dialogue.kill(signal);
    CHECK(dialogue.end() == 128 + signal);
    CHECK(has(ready.job.read("told.txt"), "\ndeckmark: stopped; the book holds every entry that was kept\n"));
    CHECK(ready.job.read("stick/book.csv") == ready.job.read("book.csv"));
  }
}

TEST_CASE("a torn end is told and set aside, and a row that lacks its line feed alone is a row") {
  Ready ready("");
  JobFolder& job = ready.job;
  const std::string book = book_of_notes(ready.first(), {"a", "b"});
  job.write("book.csv", book + "3,2026-11");
  {
    PipedDialogue dialogue(DECKMARK_PROGRAM, job.path());
    const std::vector<std::string> opened = checked(dialogue);
    CHECK(has_line(opened, "open 2 1"));
    CHECK(has_line(opened, "torn 9"));
  }
  CHECK(job.read("book.torn") == "3,2026-11");
  CHECK(job.read("book.csv").starts_with(book + "3,"));
  job.write("book.csv", book.substr(0, book.size() - 1));
  PipedDialogue dialogue(DECKMARK_PROGRAM, job.path());
  const std::vector<std::string> opened = dialogue.answer();
  CHECK(has_line(opened, "open 2 1"));
  CHECK_FALSE(has_line(opened, "torn "));
}

TEST_CASE("a stick that is pulled out is told once, work goes on, and it is brought up when it is back") {
  struct Case {
    const char* how;
    void (*pull)(const fs::path& stick);
  };
  for (const Case& c :
       {Case{"gone", [](const fs::path& stick) { fs::rename(stick, stick.string() + "-away"); }},
        Case{"another stick",
             [](const fs::path& stick) {
               fs::rename(stick, stick.string() + "-away");
               fs::create_directory(stick);
             }},
        Case{"a file in its place", [](const fs::path& stick) {
               fs::rename(stick, stick.string() + "-away");
               write_bytes(stick, "x");
             }}}) {
    CAPTURE(c.how);
    Ready ready;
    JobFolder& job = ready.job;
    PipedDialogue dialogue(DECKMARK_PROGRAM, job.path());
    checked(dialogue);
    CHECK(job.read("stick/book.csv") == job.read("book.csv"));
    c.pull(job.path() / "stick");
    const std::vector<std::string> told = typed(dialogue, "note: one");
    CHECK_MESSAGE(has_line(told, "kept 3 note"), all(told));
    CHECK_MESSAGE(has_line(told, "tell no copy in "), all(told));
    const std::vector<std::string> later = typed(dialogue, "note: two");
    CHECK(has_line(later, "kept 4 note"));
    CHECK_FALSE(has_line(later, "tell "));
    CHECK(dialogue.end() == 0);
    if (std::string(c.how) == "gone") {
      CHECK_FALSE(job.has("stick"));
      PipedDialogue without(DECKMARK_PROGRAM, job.path());
      const std::vector<std::string> opened = without.answer();
      CHECK_MESSAGE(has_line(opened, "tell no copy in "), all(opened));
      CHECK(has_line(opened, "wait mark 1001"));
    }
    fs::remove_all(job.path() / "stick");
    fs::rename(job.path() / "stick-away", job.path() / "stick");
    PipedDialogue back(DECKMARK_PROGRAM, job.path());
    CHECK_FALSE(has_line(back.answer(), "tell no copy"));
    CHECK(job.read("stick/book.csv") == job.read("book.csv"));
  }
}

TEST_CASE("a copy with rows that the book has not is refused, and restore takes them back") {
  for (const bool is_ahead : {true, false}) {
    CAPTURE(is_ahead);
    Ready ready;
    JobFolder& job = ready.job;
    const std::string longer = book_of_notes(ready.first(), {"a", "b", "c"});
    job.write("stick/book.csv", longer);
    job.write("book.csv", book_of_notes(ready.first(), is_ahead ? std::vector<std::string>{"a"}
                                                                : std::vector<std::string>{"z"}));
    const std::string before = job.read("book.csv");
    const CommandResult refused = job.run({"book", ".", "--by", "Kim", "--setup", "S1"});
    CHECK(refused.exit_code == 2);
    CHECK(has(refused.err, "a copy with rows that the book has not"));
    CHECK(job.read("book.csv") == before);
    CHECK(job.read("stick/book.csv") == longer);
    if (!is_ahead) fs::rename(job.path() / "book.csv", job.path() / "mine.csv");
    const CommandResult back = job.run({"restore", ".", "--from", "stick"});
    CHECK_MESSAGE(back.exit_code == 0, back.err);
    CHECK(job.read("book.csv") == longer);
    PipedDialogue dialogue(DECKMARK_PROGRAM, job.path());
    CHECK(has_line(dialogue.answer(), "open 3 1"));
  }
}
