// Random revisions over random books through the real program, against an account of its own: every row of
// today.csv, what the three lists hold, the status. Where a length is within 3 micrometres of its limit the
// job does not count. Seed 1.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "book_world.h"
#include "play_today.h"
#include "support/noise.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

/// 480 marks in twelve runs, all of them read after they were made.
BookWorld large_floor() {
  BookWorld w;
  w.deck = w.cuts = false;
  for (int i = 0; i < 480; ++i)
    w.points.push_back({"H" + std::to_string(i + 1), "R" + std::to_string(i / 40 + 1), 1200000 * (i % 40 + 1),
                        1000000 * (i / 40 + 1), 3000000});
  return w;
}

BookFile all_marked(const IssuedNumbers& issued, Micro sd, Dice& dice) {
  BookFile book;
  std::int64_t at = 1795845600;
  for (const std::int64_t number : issued.numbers()) {
    BookRow r;
    r.at = at += 30;
    r.time = time_text(r.at, 1);
    r.act = "marked";
    r.number = number;
    r.level = "floor";
    r.northing = issued.now(number)->northing + dice.within(3000);
    r.easting = issued.now(number)->easting + dice.within(3000);
    r.sd_along = sd;
    r.sd_across = sd / 2;
    r.setup = "S1";
    r.reading = "c 1 2";
    book.rows.push_back(r);
  }
  return book;
}

}  // namespace

TEST_CASE("a revision that touches 7 of 480 marks leaves the others") {
  for (const Micro sd : {1000, 2000, 4000}) {
    CAPTURE(sd);
    Dice dice(static_cast<std::uint32_t>(sd));
    BookWorld world = large_floor();
    JobFolder folder;
    lay(folder, world);
    REQUIRE(folder.run({"run", ".", "--quiet"}).exit_code == 0);
    const auto ledger = [&] { return IssuedNumbers(folder.read("numbers.csv"), folder.read("issued.csv")); };
    std::vector<BookFile> books = {all_marked(ledger(), sd, dice)};
    folder.write("book.csv", book_csv(books[0], ledger().first_digest()));
    world.revision = "B";
    for (int i = 0; i < 7; ++i) world.points[static_cast<std::size_t>(60 * i + 11)].x += 1500 * (i + 1) + 200;
    lay(folder, world);
    REQUIRE(folder.run({"run", ".", "--quiet"}).exit_code == 0);
    const IssuedNumbers issued = ledger();
    const Standing standing = replayed(books, issued, 0.002);
    const Today today = today_of(issued, standing, world.rules());
    folder.run({"today", ".", "--out", "today"});
    Findings findings("480 marks");
    compare_today(folder, "today", today, issued, 1, findings);
    tell_findings(findings.lines());
    std::size_t left = 0;
    for (const auto& row : named_rows(folder.read("today/today.csv")))
      left += row.at("do") == "leave" && row.at("why") == "unchanged";
    CHECK(left == 473);
  }
}

TEST_CASE("a no-drill zone bridges what hangs there as a duct of that outline does") {
  std::size_t bridged = 0;
  for (std::uint32_t j = 0; j < repeats(40); ++j) {
    CAPTURE(j);
    Dice dice(7000 + j);
    BookWorld world = random_world(dice);
    world.deck = true;
    const BookPoint& p = world.points[dice.below(world.points.size())];
    world.ducts = {{p.x + dice.within(50000), p.y + dice.within(50000)}};
    JobFolder duct, zone;
    lay(duct, world);
    const CommandResult with_duct = duct.run({"run", ".", "--quiet"});
    const auto metres = [](Micro value) { return static_cast<double>(value) / 1e6; };
    const double x = metres(world.ducts[0].first), y = metres(world.ducts[0].second);
    world.ducts.clear();
    world.zones = {
        {"Z1", {{x - 0.3, y - 0.12}, {x + 0.3, y - 0.12}, {x + 0.3, y + 0.12}, {x - 0.3, y + 0.12}}, 0.05}};
    lay(zone, world);
    const CommandResult with_zone = zone.run({"run", ".", "--quiet"});
    REQUIRE(with_zone.exit_code == with_duct.exit_code);
    if (with_zone.exit_code > 1) continue;
    CHECK(zone.read("numbers.csv") == duct.read("numbers.csv"));
    bridged += says(zone.read("numbers.csv"), "-a,");
  }
  if (!kSanitized) CHECK(bridged >= 20);
}

TEST_CASE("today of random books after random revisions") {
  TodayMet met;
  std::vector<std::string> wrong;
  for (std::uint32_t j = 0; j < repeats(100); ++j) {
    const std::vector<std::string> lines = played_today(j, met);
    wrong.insert(wrong.end(), lines.begin(), lines.end());
  }
  MESSAGE(met.told());
  tell_findings(wrong);
  CHECK(met.unclear * 10 <= met.jobs);
}
