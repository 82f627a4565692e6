// Dialogues killed at random moments: every entry that was acknowledged stands, once, in a whole chain, here
// and in the copy, and the crew goes on within three lines.

#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <map>
#include <random>
#include <set>
#include <sstream>
#include <string>
#include <thread>
#include <vector>

#include "chained_book.h"
#include "piped_dialogue.h"
#include "support/command.h"

using namespace deckmark_test;
namespace fs = std::filesystem;

namespace {

#ifdef DECKMARK_SANITIZED
constexpr int kKills = 50;  // a twentieth
#else
constexpr int kKills = 1000;
#endif
constexpr int kPoints = 400, kRoundsOfABook = 40;

using Clock = std::chrono::steady_clock;
long microseconds_since(Clock::time_point then) {
  return std::chrono::duration_cast<std::chrono::microseconds>(Clock::now() - then).count();
}

/// `act number level of` of a row, as the dialogue acknowledges it.
std::string words_of(const std::string& row) {
  std::vector<std::string> cells;
  std::istringstream in(row);
  for (std::string cell; std::getline(in, cell, ',');) cells.push_back(cell);
  std::string out;
  for (const std::size_t c : {3U, 4U, 5U, 14U})
    out += (out.empty() ? "" : " ") + (cells[c].empty() ? "-" : cells[c]);
  return out;
}

/// Rows of a book whose chain is whole, by their entries; fails the test where it is not. Bytes behind the
/// last line feed were never written to their end.
std::vector<std::string> rows_of(const fs::path& path, const std::string& first) {
  std::vector<std::string> rows;
  if (!fs::exists(path)) return rows;
  const std::string text = read_bytes(path);
  if (text.empty()) return rows;
  REQUIRE(text.starts_with(kBookHeader));
  std::string chain = first;
  for (std::size_t at = kBookHeader.size(), end; (end = text.find('\n', at)) != text.npos; at = end + 1) {
    const std::string row = text.substr(at, end - at);
    const std::size_t last = row.rfind(',');
    chain = deckmark::sha256_hex(chain + "\n" + row.substr(0, last)).substr(0, 16);
    REQUIRE(row.substr(last + 1) == chain);
    REQUIRE(row.starts_with(std::to_string(rows.size() + 1) + ","));
    rows.push_back(row);
  }
  return rows;
}

/// A crew that types: it answers what is waited for, and now and then something else.
class Crew {
 public:
  explicit Crew(std::mt19937& random) : random_(random) {}
  std::string line_for(const std::string& wait) {
    std::istringstream in(wait);
    std::string word, what, target;
    in >> word >> what >> target;
    if (what == "keep") return "y";
    if (what == "check") return exact_reading(target == "-" ? "CP3" : target);
    switch (random_() % 6) {
      case 0:
        return "note: word " + std::to_string(++notes_);
      case 1:
        return "cut " + target + ": batch " + std::to_string(++notes_);
      case 2:
        return "note: long " + std::to_string(++notes_) + " " + std::string(150, 'x');
      default:
        return exact_reading(target);
    }
  }

 private:
  std::mt19937& random_;
  int notes_ = 0;
};

/// What is known of the book from outside.
struct Known {
  std::map<std::size_t, std::string> acknowledged;  // entry -> words
  std::set<std::size_t> seen;  // of these, what was not told, but stood in the book when it was looked at
  int twice = 0;

  void hear(const std::vector<std::string>& lines) {
    for (const std::string& line : lines) {
      if (!line.starts_with("kept ")) continue;
      const std::size_t blank = line.find(' ', 5);
      if (!acknowledged.emplace(std::stoul(line.substr(5)), line.substr(blank + 1)).second) ++twice;
    }
  }
};

void check_book(const fs::path& folder, const std::string& first, const Known& known) {
  const std::vector<std::string> rows = rows_of(folder / "book.csv", first);
  const std::vector<std::string> copied = rows_of(folder / "stick/book.csv", first);
  CHECK(known.twice == 0);
  REQUIRE(copied.size() <= rows.size());
  for (std::size_t i = 0; i < copied.size(); ++i) REQUIRE(copied[i] == rows[i]);
  for (const auto& [entry, words] : known.acknowledged) {
    CAPTURE(entry);
    REQUIRE(entry <= rows.size());
    if (!known.seen.contains(entry)) REQUIRE(entry <= copied.size());
    REQUIRE(words_of(rows[entry - 1]) == words);
  }
  // No mark is made twice, and no note stands twice: what was written and not acknowledged is not typed
  // again.
  std::set<std::string> once;
  for (const std::string& row : rows) {
    const std::string words = words_of(row);
    const std::size_t note = row.rfind(',', row.rfind(',') - 1);
    const bool is_note = words.starts_with("note ") || words.starts_with("cut ");
    const bool counts = words.starts_with("marked ") || is_note;
    if (counts) REQUIRE(once.insert(is_note ? row.substr(note, row.rfind(',') - note) : words).second);
  }
}

}  // namespace

TEST_CASE("dialogues killed at random moments lose no entry that was acknowledged, and are resumed at once") {
  const TempFolder job;
  write_book_job(job.path(), kPoints, "copy = \"stick\"\n");
  CommandRun run;
  run.program = DECKMARK_PROGRAM;
  run.args = {"run", job.path().string(), "--quiet"};
  REQUIRE(run.run().exit_code == 0);
  const std::string first = first_digest(read_bytes(job / "issued.csv"));
  std::mt19937 random(1);
  Crew crew(random);
  Known known;
  long start = 50000, answer = 500;  // microseconds, the longest of late
  int killed = 0, unacknowledged = 0, torn = 0, at_start = 0;
  for (int round = 0; killed < kKills; ++round) {
    REQUIRE(round < 20 * kKills);
    CAPTURE(round);
    if (round % kRoundsOfABook == 0) {
      for (const char* name : {"book.csv", "book.torn", "stick"}) fs::remove_all(job / name);
      fs::create_directory(job / "stick");
      known = {};
    }
    const auto before = rows_of(job / "book.csv", first).size();
    PipedDialogue dialogue(DECKMARK_PROGRAM, job.path());
    const int lines = static_cast<int>(random() % 12);  // before the kill
    const auto sleep_up_to = [&](long most) {
      const long moment = std::uniform_int_distribution<long>(0, most)(random);
      std::this_thread::sleep_for(std::chrono::microseconds(moment));
    };
    if (lines == 0) {
      sleep_up_to(start + start / 10);
      ++at_start;
    } else {
      auto then = Clock::now();
      std::vector<std::string> told = dialogue.answer();
      start = std::max(start * 9 / 10, microseconds_since(then));
      REQUIRE_FALSE(told.empty());
      CHECK(told.front() == "open " + std::to_string(before) + " 1");
      known.hear(told);
      int typed = 0;  // since it was resumed, checks that are due left out
      bool is_on = false;
      for (int i = 0; i < lines; ++i) {
        const std::string wait = told.back();
        const std::string line = is_on                            ? crew.line_for(wait)
                                 : wait.starts_with("wait mark ") ? exact_reading(wait.substr(10))
                                                                  : crew.line_for(wait);
        if (!wait.starts_with("wait check")) ++typed;
        then = Clock::now();
        REQUIRE(dialogue.type(line));
        if (i + 1 == lines) break;
        told = dialogue.answer();
        answer = std::max(answer * 9 / 10, microseconds_since(then));
        REQUIRE_FALSE(told.empty());
        known.hear(told);
        if (std::ranges::any_of(told, [](const std::string& t) { return t.find(" marked ") != t.npos; })) {
          if (!is_on) CHECK(typed <= 3);
          is_on = true;
        }
      }
      sleep_up_to(answer + answer / 4);
    }
    dialogue.kill(SIGKILL);
    known.hear(dialogue.answer());  // what it had told by then
    if (dialogue.end() == -SIGKILL) ++killed;
    check_book(job.path(), first, known);
    const std::size_t rows = rows_of(job / "book.csv", first).size();
    if (rows > (known.acknowledged.empty() ? 0 : known.acknowledged.rbegin()->first)) ++unacknowledged;
    const std::string text = fs::exists(job / "book.csv") ? read_bytes(job / "book.csv") : "\n";
    torn += !text.empty() && text.back() != '\n';
    // Such a row counts from here on as the crew sees it in the book.
    for (std::size_t e = known.acknowledged.size() + 1; e <= rows; ++e)
      known.acknowledged.emplace(e, words_of(rows_of(job / "book.csv", first)[e - 1])), known.seen.insert(e);
  }
  // The moments were worth it: some fell between the row and its acknowledgement.
  MESSAGE("killed " << killed << ", between row and acknowledgement " << unacknowledged << ", torn " << torn);
  CHECK(unacknowledged >= kKills / 50);
  CHECK(at_start >= kKills / 50);
}
