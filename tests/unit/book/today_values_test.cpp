#include <doctest/doctest.h>

#include <cmath>
#include <ctime>

#include "book/ledger_axes.h"
#include "book/today.h"
#include "floor_of_today.h"

using namespace by_hand;
using plain::dropped;
using plain::hanger;
using plain::kept;
using plain::without_deck;

namespace {

/// A ledger row on a site that is turned by 30 degrees; mirrored: Y lies clockwise of X.
LedgerRow turned(std::uint32_t number, double x, double y, bool mirrored) {
  LedgerRow row = hanger("A", number, x, y);
  const double c = std::cos(0.5235987755982988), s = std::sin(0.5235987755982988), up = mirrored ? -y : y;
  row.site = {kept(1000 + x * s + up * c), kept(5000 + x * c - up * s)};
  return row;
}

}  // namespace

TEST_CASE("moves are along the drawing's axes, lengths on site") {
  for (const bool mirrored : {false, true}) {
    CAPTURE(mirrored);
    Floor f;
    f.options.mirrored = !mirrored;  // the ledger's places say it
    f.issue({turned(1001, 0, 0, mirrored), turned(1002, 4, 0, mirrored), turned(1003, 0, 3, mirrored)});
    f.issue({turned(1003, 0.012, 2.95, mirrored)});
    f.floor(1001, 1);
    f.floor(1002, 1);
    f.floor(1003, 1);
    const std::vector<TodayRow> rows = f.rows();
    for (const TodayRow& row : rows) {
      if (row.number != 1003 || row.thing != TodayThing::floor) continue;
      REQUIRE(row.off);
      // The moved number turns the fitted axes a little: within 3 parts in 100.
      CHECK(row.off->move.by.x.millimetres() == doctest::Approx(12).epsilon(0.2));
      CHECK(row.off->move.by.y.millimetres() == doctest::Approx(-50).epsilon(0.03));
      CHECK(row.off->distance.millimetres() == doctest::Approx(std::hypot(12, 50)).epsilon(1e-4));
      CHECK(row.off->permitted.millimetres() == doctest::Approx(6));
      CHECK(row.off->sd->millimetres() == doctest::Approx(2));
    }
  }
}

TEST_CASE("axes of a ledger whose points lie on one line are mirrored as the drawing is") {
  for (const bool mirrored : {false, true}) {
    const Ledger ledger = plain::ledger_of(
        {{turned(1001, 0, 0, mirrored), turned(1002, 4, 0, mirrored), turned(1003, 9, 0, mirrored)}});
    const Transform<Drawing, Site> axes = drawing_from_ledger(ledger, mirrored);
    CHECK(axes.parts().mirrored == mirrored);
    CHECK(axes.parts().azimuth_x.degrees() == doctest::Approx(60));
    CHECK(axes.parts().scale == doctest::Approx(1));
    const Point<Drawing> at = axes(turned(1009, 2, 1, mirrored).site.point());
    CHECK(at.at.x.metres() == doctest::Approx(2));
    CHECK(at.at.y.metres() == doctest::Approx(1));
  }
}

TEST_CASE("what is judged or gets another number has its figures, the rest has none") {
  Floor f;
  f.issue({hanger("A", 1001), hanger("B", 1002, 3)});
  f.issue({dropped(hanger("A", 1001)), hanger("C", 1003, 0.001)});
  f.floor(1001, 1, Floor::Off{2, 0, 1});
  f.floor(1001, 1, Floor::Off{40, 0, 1});
  f.floor(1002, 1, Floor::Off{30, 0, 1});
  f.floor(1002, 1, Floor::Off{0, -3, 1});
  f.hang(1002);
  const std::vector<TodayRow> rows = f.rows();
  std::vector<std::string> with;
  for (const TodayRow& row : rows)
    if (row.off)
      with.push_back(std::to_string(row.number) + " " + std::string(today_thing_word(row.thing)) + " " +
                     std::string(today_do_word(row.what)));
  CHECK(with == std::vector<std::string>{"1002 floor leave", "1002 rod leave", "1003 floor renumber"});
  for (const TodayRow& row : rows) {
    if (row.number == 1003 && row.what == TodayDo::renumber) {
      CHECK(row.other == 1001);
      CHECK(row.off->move.by.x.millimetres() == doctest::Approx(1));
      CHECK(row.off->move.by.y.millimetres() == doctest::Approx(-2));
      CHECK(row.off->sd->millimetres() == doctest::Approx(1));
    }
    if (row.thing == TodayThing::rod) {
      CHECK_FALSE(row.off->sd);
      CHECK(row.off->permitted.millimetres() == doctest::Approx(5));
    }
  }
}

TEST_CASE("a rod's figures are how much longer it has to be") {
  Floor f;
  LedgerRow longer = hanger("A", 1001);
  longer.cut = kept(1.48);
  f.issue({hanger("A", 1001)}).issue({longer});
  f.act(Act::cut, 1001);
  const TodayRow rod = f.rows().back();
  CHECK(rod.thing == TodayThing::rod);
  CHECK(rod.up->millimetres() == doctest::Approx(-20));
  CHECK(rod.off->distance.millimetres() == doctest::Approx(20));
}

TEST_CASE("what a floor needs is wrong where something stands that may not stay") {
  for (const TodayDo what : {TodayDo::stop, TodayDo::void_cross, TodayDo::fill, TodayDo::renumber,
                             TodayDo::mark_again, TodayDo::recut})
    CHECK(is_wrong_today(what));
  for (const TodayDo what : {TodayDo::measure, TodayDo::mark, TodayDo::drill, TodayDo::leave})
    CHECK_FALSE(is_wrong_today(what));
}

TEST_CASE("without a book a floor is taken to be as an issue has it") {
  const Ledger ledger =
      plain::ledger_of({{hanger("A", 1001), hanger("B", 1002, 2), hanger("C", 1003, 4)},
                        {dropped(hanger("A", 1001)), hanger("C", 1003, 4.1), hanger("D", 1004, 6)}});
  const std::vector<std::uint32_t> numbers{1001, 1002, 1003};
  const Book book = marked_as_issued(ledger, 1, numbers);
  const BookState state({&book}, ledger);
  std::vector<std::string> lines;
  for (const TodayRow& row : today_as_issued(state, {}))
    lines.push_back(std::to_string(row.number) + " " + std::string(today_thing_word(row.thing)) + " " +
                    std::string(today_do_word(row.what)) + " " + today_why_words(row));
  CHECK(lines == std::vector<std::string>{
                     "1001 floor void dropped if it is there", "1002 floor leave unchanged if it is there",
                     "1003 floor mark-again beyond if it is there", "1004 floor mark not made"});
}

namespace {

void put(Book& book, Act act, std::uint32_t number, EntryLevel level) {
  Entry e;
  e.act = act;
  e.number = number;
  e.level = level;
  e.issue = 1;
  e.time = "2026-11-28T07:00Z";
  book.add(e);
}

}  // namespace

TEST_CASE("how far each run is") {
  const auto of = [](std::string_view run, LedgerRow row) {
    row.run = run;
    return row;
  };
  const Ledger ledger = plain::ledger_of(
      {{of("R1", hanger("A", 1001)), of("R2", hanger("B", 1002, 2)), of("R1", hanger("C", 1003, 4)),
        of("R1", hanger("D", 1004, 6)), hanger("E", 1005, 8)},
       {dropped(of("R1", hanger("D", 1004, 6)))}});
  Book book("", "0123456789abcdef");
  const auto act = [&book](Act what, std::uint32_t number, EntryLevel level) {
    put(book, what, number, level);
  };
  for (const std::uint32_t n : {1001U, 1003U, 1004U, 1005U}) act(Act::marked, n, EntryLevel::floor);
  for (const std::uint32_t n : {1001U, 1003U, 1004U}) act(Act::marked, n, EntryLevel::deck);
  act(Act::drilled, 1003, EntryLevel::deck);
  act(Act::cut, 1001, EntryLevel::none);
  act(Act::cut, 1003, EntryLevel::none);
  act(Act::hung, 1003, EntryLevel::none);
  const BookState state({&book}, ledger);
  std::vector<std::string> lines;
  for (const RunProgress& r : progress_by_run(state))
    lines.push_back(std::string(r.run) + ": " + std::to_string(r.marked) + " of " +
                    std::to_string(r.numbers) + ", " + std::to_string(r.deck) + ", " +
                    std::to_string(r.drilled) + ", " + std::to_string(r.hung));
  CHECK(lines == std::vector<std::string>{"R1: 2 of 2, 2, 1, 1", "R2: 0 of 1, 0, 0, 0", ": 1 of 1, 0, 0, 0"});
}

TEST_CASE("100,000 numbers with crosses and holes take under 0.3 s") {
#ifndef DECKMARK_SANITIZED
  constexpr std::uint32_t kNumbers = 100000;
  std::vector<LedgerRow> rows;
  for (std::uint32_t i = 0; i < kNumbers; ++i) rows.push_back(hanger("A", 1001 + i, i % 400, i / 400));
  std::vector<LedgerRow> gone;
  for (std::uint32_t i = 0; i < kNumbers; i += 10) gone.push_back(dropped(rows[i]));
  const Ledger ledger = plain::ledger_of({rows, gone});
  Book book("", "0123456789abcdef");
  const auto act = [&book](Act what, std::uint32_t number, EntryLevel level) {
    put(book, what, number, level);
  };
  for (std::uint32_t i = 0; i < kNumbers; ++i) {
    act(Act::marked, 1001 + i, EntryLevel::floor);
    if (i % 2 == 0) act(Act::marked, 1001 + i, EntryLevel::deck);
    if (i % 4 == 0) act(Act::drilled, 1001 + i, EntryLevel::deck);
  }
  const BookState state({&book}, ledger);
  const std::clock_t begin = std::clock();  // of the processor: others may be at work
  const std::size_t count = today(state, {}, {}).size();
  const double seconds = static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
  CHECK(count > kNumbers);
  CHECK(seconds < 0.3);
#endif
}
