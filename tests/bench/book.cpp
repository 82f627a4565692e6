// A book of 100,000 entries: opened by the dialogue, and one entry after the other added to it. The answer
// before the times: opening under 0.3 s, an answer under 20 ms besides the flush of the disk.
#include "book/book.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <memory>
#include <string>
#include <vector>

#include "book/state.h"
#include "command/chained_book.h"
#include "command/job_folder.h"
#include "command/piped_dialogue.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

constexpr std::uint32_t kEntries = 100000;
constexpr int kPoints = 400;

double since(std::chrono::steady_clock::time_point begin) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

/// Standings of sixty marks with a check before each twenty, then rods and what was given up again.
std::string long_book(const std::string& first) {
  Book book("", first);
  std::string text = Book::header();
  const auto add = [&](Act act, std::uint32_t number, std::string_view target = {}) {
    Entry row;
    row.act = act;
    row.time = "2026-11-02T07:00:00+01:00";
    row.by = "Ada";
    row.number = number;
    row.target = target;
    row.issue = 1;
    if (act == Act::marked || act == Act::check) {
      const auto i = static_cast<std::int64_t>(number > 0 ? number - 1001 : 0);
      row.site = {Kept::micrometres(105'000'000 + i / 20 * 1'000'000),
                  Kept::micrometres(105'000'000 + i % 20 * 1'000'000)};
      row.sd_along = Kept::micrometres(2300);
      row.sd_across = Kept::micrometres(1300);
      row.reading = "45-10-20 90-00-00 12.345";
    }
    if (act == Act::marked || act == Act::voided) row.level = EntryLevel::floor;
    if (act == Act::check) row.verdict = Verdict::within;
    if (act == Act::set_up) row.reading = "0.000000";
    if (act == Act::set_up || act == Act::check || act == Act::marked) row.setup = "S1";
    if (act == Act::voided) row.note = "another revision";
    text += book.add(row);
  };
  for (std::uint32_t round = 0; book.size() < kEntries; ++round) {
    for (std::uint32_t n = 1001; n < 1001 + kPoints && book.size() < kEntries; ++n) {
      if ((n - 1001) % 60 == 0) add(Act::set_up, 0);
      if ((n - 1001) % 20 == 0) add(Act::check, 0, "CP3");
      add(Act::marked, n);
      add(Act::cut, n);
      add(Act::hung, n);
      add(Act::taken_down, n);
      add(Act::voided, n);
    }
  }
  return text;
}

}  // namespace

TEST_CASE("a book of 100,000 entries is opened and added to") {
  JobFolder job;
  write_book_job(job.path(), kPoints, "copy = \"stick\"\n");
  std::filesystem::create_directory(job.path() / "stick");
  REQUIRE(job.run({"run", ".", "--quiet"}).exit_code == 0);
  const std::string first = first_digest(job.read("issued.csv")), text = long_book(first);
  for (const char* name : {"book.csv", "stick/book.csv"}) job.write(name, text);

  auto begin = std::chrono::steady_clock::now();
  BookFound found = read_book(std::make_shared<const std::string>(text), "", first);
  const double read_time = since(begin);
  begin = std::chrono::steady_clock::now();
  const Ledger ledger;
  const BookState state({&found.book}, ledger);
  const double state_time = since(begin);
  REQUIRE_FALSE(found.broken);
  REQUIRE(found.book.size() >= kEntries);
  REQUIRE(state.numbers().size() == kPoints);

  begin = std::chrono::steady_clock::now();
  PipedDialogue dialogue(DECKMARK_PROGRAM, job.path());
  std::vector<std::string> told = dialogue.answer();
  const double open_time = since(begin);
  REQUIRE(told.front() == "open " + std::to_string(found.book.size()) + " 1");

  std::size_t kept = 0;
  double worst = 0, all = 0;
  for (int i = 0; i < 300; ++i) {
    const std::string& wait = told.back();
    std::string line = "y";
    if (wait.starts_with("wait check ")) line = exact_reading(wait.substr(11));
    if (wait.starts_with("wait mark ")) line = i % 7 == 0 ? "note: word" : exact_reading(wait.substr(10));
    begin = std::chrono::steady_clock::now();
    REQUIRE(dialogue.type(line));
    told = dialogue.answer();
    const double time = since(begin);
    worst = std::max(worst, time);
    all += time;
    kept += static_cast<std::size_t>(
        std::ranges::count_if(told, [](const std::string& t) { return t.starts_with("kept "); }));
  }
  MESSAGE(found.book.size() << " entries, " << text.size() / 1000 << " kB; " << kept << " added, copied too");
  MESSAGE("read and proved " << read_time << " s, state " << state_time << " s; opened by the program "
                             << open_time << " s; an answer " << all / 300 * 1000 << " ms, the longest "
                             << worst * 1000 << " ms");
  CHECK(kept > 100);
  CHECK(job.read("stick/book.csv") == job.read("book.csv"));
  CHECK(open_time < 0.3);
  CHECK(worst < 0.02);
}
