// Slips of the pen: which are told, and where.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "heights_support.h"

using namespace heights_test;

namespace {

/// Three set-ups from benchmark 0 at 10 m over targets 1 and 2 to benchmark 3 at 11.030 m. What any of them
/// makes of an exchange, or of the other unit, is more than 5 sds (12 mm) from what another makes.
Book line_of_three() {
  return Book()
      .benchmark(0, 10)
      .benchmark(3, 11.030)
      .way(0, 0, 1.660, 1, 1.140)
      .way(1, 1, 1.850, 2, 1.107)
      .way(2, 2, 1.100, 3, 1.333);
}

/// Set-up 0 reads turning points 1 and 2. From one set-up 1 goes to benchmark 3, which is so much higher, by
/// readings 3 and 4; from the other set-up 2 to benchmark 4, by readings 5 and 6. All reads 1 m but for that.
Book parting_lines(double rise) {
  return Book()
      .benchmark(0, 10)
      .benchmark(3, 10 + rise)
      .benchmark(4, 10)
      .way(0, 0, 1, 1, 1)
      .fore(0, 2, 1)
      .way(1, 1, 1 + rise, 3, 1)
      .way(2, 2, 1, 4, 1);
}

std::vector<SlipOfHeight> of_line(const HeightsResult& r, std::size_t line) {
  std::vector<SlipOfHeight> out;
  for (const SlipOfHeight& s : r.slips)
    if (s.line == line) out.push_back(s);
  return out;
}

}  // namespace

TEST_CASE("a round number that is off in some reading of a line is told without a set-up") {
  struct Row {
    HeightSlip slip;
    double off;
  };
  for (const Row& row : {Row{HeightSlip::hundred_millimetres, 0.1}, Row{HeightSlip::metre, 1},
                         Row{HeightSlip::foot, 0.3048}, Row{HeightSlip::metre, -1}}) {
    for (std::size_t wrong = 0; wrong < 6; ++wrong) {
      CAPTURE(wrong);
      Book book = line_of_three();
      book.readings.level[wrong].reading += m(row.off) + mm(1);
      const HeightsResult r = book.run();
      REQUIRE(r.slips.size() == 1);
      CHECK(r.slips[0].slip == row.slip);
      CHECK(r.slips[0].line == std::size_t{0});
      CHECK_FALSE(r.slips[0].plane);
      CHECK_FALSE(r.slips[0].setup);
      CHECK_FALSE(r.slips[0].reading);
      CHECK(r.slips[0].setups == std::vector<std::size_t>{0, 1, 2});
      CHECK(std::fabs(r.slips[0].left.millimetres()) == doctest::Approx(1));
    }
  }
}

TEST_CASE("a closure within its limit, or one that no slip explains, is told nothing of") {
  CHECK(line_of_three().run().slips.empty());
  Book off = line_of_three();
  off.readings.level[1].reading += mm(2.9);
  CHECK(off.run().slips.empty());
  off.readings.level[1].reading += mm(60);
  const HeightsResult r = off.run();
  CHECK_FALSE(r.lines[0].is_within());
  CHECK(r.slips.empty());
  // 3.2 mm are left: over the limit, which is what is told by.
  off = line_of_three();
  off.readings.level[1].reading += mm(103.2);
  CHECK(off.run().slips.empty());
  off.options.loop_limit = mm(3.3);
  CHECK(off.run().slips.size() == 1);
}

TEST_CASE("back and fore exchanged, and a staff in the other unit, name their set-up") {
  for (std::size_t s = 0; s < 3; ++s) {
    CAPTURE(s);
    Book book = line_of_three();
    std::swap(book.readings.level[2 * s].reading, book.readings.level[2 * s + 1].reading);
    HeightsResult r = book.run();
    REQUIRE(r.slips.size() == 1);
    CHECK(r.slips[0].slip == HeightSlip::exchanged);
    CHECK(r.slips[0].setup == s);
    CHECK_FALSE(r.slips[0].reading);
    CHECK(abs(r.slips[0].left) < mm(1e-6));
    for (const bool in_feet : {false, true}) {
      CAPTURE(in_feet);
      book = line_of_three();
      book.options.staff_in_feet = in_feet;
      for (const std::size_t i : {2 * s, 2 * s + 1})
        book.readings.level[i].reading = book.readings.level[i].reading * (in_feet ? 0.3048 : 1 / 0.3048);
      r = book.run();
      REQUIRE(r.slips.size() == 1);
      CHECK(r.slips[0].slip == HeightSlip::read_in_feet);
      CHECK(r.slips[0].setup == s);
      book.options.staff_in_feet = !in_feet;
      CHECK(book.run().slips.empty());
    }
  }
}

TEST_CASE("where several slips explain a closure all are told, the best first, and no set-up") {
  Book book = line_of_three();
  // Set-up 2 exchanged: twice 0.233 is 0.466; made 0.050 it looks like 100 mm in any reading.
  book.readings.level[4].reading = m(1.383);
  book.readings.benchmarks[1].elevation = Elevation::metres(11.313);
  CHECK(book.run().slips.empty());
  std::swap(book.readings.level[4].reading, book.readings.level[5].reading);
  book.readings.level[0].reading += mm(0.5);
  const HeightsResult r = book.run();
  REQUIRE(r.slips.size() == 2);
  CHECK(abs(r.slips[0].left) <= abs(r.slips[1].left));
  for (const SlipOfHeight& s : r.slips) {
    CHECK_FALSE(s.setup);
    CHECK((s.slip == HeightSlip::exchanged || s.slip == HeightSlip::hundred_millimetres));
    if (s.slip == HeightSlip::exchanged) CHECK(s.setups == std::vector<std::size_t>{2});
  }
}

TEST_CASE("what checks a set-up elsewhere singles it out, or clears it") {
  // A laser reads both turning points of set-up 1.
  for (std::size_t wrong = 0; wrong < 6; ++wrong) {
    CAPTURE(wrong);
    Book book = line_of_three();
    book.laser(0, 1, 2.000, false, 5).laser(0, 2, 1.257, false, 5);
    book.readings.level[wrong].reading += mm(100);
    const auto slips = of_line(book.run(), 0);
    REQUIRE(slips.size() == 1);
    CHECK_FALSE(slips[0].reading);  // back or fore of it is all one
    if (wrong / 2 == 1) {
      CHECK(slips[0].setup == std::size_t{1});
      CHECK(slips[0].setups == std::vector<std::size_t>{1});
    } else {
      CHECK_FALSE(slips[0].setup);
      CHECK(slips[0].setups == std::vector<std::size_t>{0, 2});
    }
  }
}

TEST_CASE("a reading is named where a third sight of the set-up clears the other") {
  Book book = line_of_three();
  book.laser(0, 1, 2.000, false, 5).laser(0, 2, 1.257, false, 5).laser(0, 9, 1, false, 5);
  book.fore(1, 9, 0.850);  // set-up 1 at 12.370, the laser's plane at 12.520: target 9 at 11.520
  for (const std::size_t wrong : {2u, 3u}) {
    Book off = book;
    off.readings.level[wrong].reading += mm(100);
    const auto slips = of_line(off.run(), 0);
    REQUIRE(slips.size() == 1);
    CHECK(slips[0].setup == std::size_t{1});
    CHECK(slips[0].reading == wrong);
    CHECK_FALSE(slips[0].is_laser);
  }
}

TEST_CASE("two lines through one set-up: both say where, a line that is sound clears") {
  // Benchmarks 0, 3, 5; set-ups 0 and 1 are in both lines, 2 goes to 3, 3 to 5.
  const auto book = [] {
    return line_of_three().benchmark(5, 11.030).fore(1, 4, 1.107).way(3, 4, 1.100, 5, 1.333);
  };
  Book shared = book();
  shared.readings.level[0].reading += mm(100);
  HeightsResult r = shared.run();
  REQUIRE(r.lines.size() == 2);
  for (const std::size_t line : {0u, 1u}) {
    REQUIRE(of_line(r, line).size() == 1);
    CHECK(of_line(r, line)[0].setups == std::vector<std::size_t>{0, 1});
  }
  Book own = book();
  own.readings.level[4].reading += mm(100);
  r = own.run();
  REQUIRE(of_line(r, 0).size() == 1);
  CHECK(of_line(r, 1).empty());
  CHECK(of_line(r, 0)[0].setups == std::vector<std::size_t>{1, 2});  // of set-up 1 its fore to 2
}

TEST_CASE("a benchmark's height that is off by a round number clears no one, and no set-up is named") {
  // One set-up reads three benchmarks; one is 1 m off in the table.
  Book book;
  book.benchmark(0, 10).benchmark(1, 10.5).benchmark(2, 12);
  book.way(0, 0, 2, 1, 1.5).fore(0, 2, 1.0);
  const HeightsResult r = book.run();
  const auto slips = of_line(r, 1);
  REQUIRE(slips.size() == 1);
  CHECK(slips[0].slip == HeightSlip::metre);
  CHECK_FALSE(slips[0].setup);
  REQUIRE(r.wrong.size() == 1);
  CHECK(r.wrong[0].what == WrongHeight::What::benchmark);
}

TEST_CASE("slips in readings of a laser: of a closure, and of a target that others read too") {
  Book book;
  book.options.beam_sd = Angle::arc_seconds(10);
  for (std::size_t b = 0; b < 3; ++b) book.benchmark(b, 10);
  for (std::size_t l = 0; l < 3; ++l) {
    for (std::size_t b = 0; b < 3; ++b) book.laser(l, b, 2);
    book.laser(l, 7, 1, true);
  }
  for (const std::size_t wrong : {0u, 1u, 2u}) {  // of standing 0; its first reading is in both closures
    Book off = book;
    off.readings.laser[wrong].reading += m(-1);
    const HeightsResult r = off.run();
    REQUIRE(r.slips.size() == (wrong == 0 ? 2 : 1));
    for (const SlipOfHeight& s : r.slips) {
      CHECK(s.slip == HeightSlip::metre);
      CHECK(s.plane);
      CHECK(s.is_laser);
      CHECK(s.reading == wrong);
      CHECK_FALSE(s.setup);
      CHECK(abs(s.left) < mm(1e-6));
    }
  }
  Book two = book;  // what is wrong besides clears no one
  two.readings.laser[1].reading += m(1);
  two.readings.laser[6].reading += m(0.5);
  for (const SlipOfHeight& s : two.run().slips) CHECK_FALSE(s.reading);
  book.readings.laser[7].reading += m(0.1) + mm(1);
  const HeightsResult r = book.run();
  REQUIRE(r.wrong.size() == 1);
  REQUIRE(r.slips.size() == 1);
  CHECK(r.slips[0].slip == HeightSlip::hundred_millimetres);
  CHECK_FALSE(r.slips[0].line);
  CHECK_FALSE(r.slips[0].plane);
  CHECK(r.slips[0].is_laser);
  CHECK(r.slips[0].reading == std::size_t{7});
  CHECK(r.slips[0].left.millimetres() == doctest::Approx(1));
  book.readings.laser[7].reading += mm(40);
  CHECK(book.run().slips.empty());
}

TEST_CASE("one of a pair of housings that is 1 m off moves their mean by half of it") {
  Book book;
  book.benchmark(0, 10).benchmark(1, 10);
  book.laser(0, 0, 1).pair(0, 1, 1, 2);
  const HeightsResult r = book.run();
  CHECK(r.planes.at(0).closure.millimetres() == doctest::Approx(500));
  REQUIRE(r.slips.size() == 1);
  CHECK(r.slips[0].slip == HeightSlip::metre);
  CHECK(r.slips[0].reading == std::size_t{2});  // the other agrees with the benchmark that is read once
  CHECK(abs(r.slips[0].left) < mm(1e-6));
}

TEST_CASE("two backs to two benchmarks have no back and fore that could be exchanged") {
  Book book;
  book.benchmark(0, 10).benchmark(1, 10.4).back(0, 0, 1.5).back(0, 1, 1.9);
  CHECK(book.run().lines.at(0).closure->millimetres() == doctest::Approx(-800));
  CHECK(book.run().slips.empty());
  book.readings.level[1].is_back = false;
  CHECK(book.run().slips.size() == 1);
}

TEST_CASE("a set-up whose readings nothing checks is not held against a staff in the other unit") {
  // Heights known to 30 m: a reading to 1 mm has a redundancy of 6e-10, rounding.
  Book book;
  book.benchmark(0, 10, m(30)).benchmark(1, 10, m(30)).way(0, 0, 1.000, 1, 1.010);
  const HeightsResult r = book.run();
  CHECK_FALSE(r.lines.at(0).is_within());
  CHECK_FALSE(r.is_level_checked(0));
  CHECK(r.slips.empty());
}

TEST_CASE("half of it here and half there names no one") {
  // The laser says of set-ups 0 and 1 that either is half a metre off.
  Book book = line_of_three();
  book.laser(0, 0, 2.520, false, 5).laser(0, 1, 2.000, false, 5).laser(0, 2, 1.257, false, 5);
  book.laser(0, 3, 1.490, false, 5);
  book.readings.level[0].reading += mm(500);
  book.readings.level[2].reading += mm(500);
  for (const SlipOfHeight& s : book.run().slips) CHECK_FALSE(s.setup);
}

TEST_CASE("two slips in two lines that part are each told, and none is laid on the set-up that they share") {
  Book book = parting_lines(0);
  book.readings.level[3].reading += mm(100);
  book.readings.level[5].reading += m(1);
  const HeightsResult r = book.run();
  REQUIRE(r.slips.size() == 2);
  CHECK(r.slips[0].slip == HeightSlip::hundred_millimetres);
  CHECK(r.slips[0].line == std::size_t{0});
  CHECK(r.slips[1].slip == HeightSlip::metre);
  CHECK(r.slips[1].line == std::size_t{1});
  for (const SlipOfHeight& s : r.slips) {
    CHECK_FALSE(s.setup);
    CHECK(s.setups == std::vector<std::size_t>{0, *s.line + 1});
    CHECK_FALSE(s.reading);
  }
}

TEST_CASE("no set-up is named while something else around it is wrong") {
  Book book = parting_lines(0.17);
  std::swap(book.readings.level[3].reading, book.readings.level[4].reading);
  book.readings.level[5].reading += m(1);
  const HeightsResult both = book.run();
  REQUIRE(both.slips.size() == 2);
  CHECK(both.slips[0].slip == HeightSlip::exchanged);
  CHECK(both.slips[0].setups == std::vector<std::size_t>{1});
  CHECK_FALSE(both.slips[0].setup);
  book.readings.level[5].reading = m(1);
  const HeightsResult one = book.run();
  REQUIRE(one.slips.size() == 1);
  CHECK(one.slips[0].setup == std::size_t{1});
}

TEST_CASE("a poor laser clears a set-up as well, where a slip is large beside it") {
  // Its two readings of 40 m leave 6 mm of sd: sixteen of these are 100 mm.
  for (std::size_t wrong = 0; wrong < 6; ++wrong) {
    CAPTURE(wrong);
    Book book = line_of_three();
    book.options.beam_sd = Angle::radians(1e-4);
    book.laser(0, 1, 2.000, false, 40).laser(0, 2, 1.257, false, 40);
    book.readings.level[wrong].reading += mm(100);
    const auto slips = of_line(book.run(), 0);
    REQUIRE(slips.size() == 1);
    CHECK(slips[0].setups == (wrong / 2 == 1 ? std::vector<std::size_t>{1} : std::vector<std::size_t>{0, 2}));
    CHECK(slips[0].setup.has_value() == (wrong / 2 == 1));
  }
}

TEST_CASE("where the staff is in feet a slip is a foot or an inch, never 100 mm or a metre") {
  for (const double off : {0.3048, 0.0254, 0.1, 1.0}) {
    for (const bool in_feet : {false, true}) {
      CAPTURE(off);
      CAPTURE(in_feet);
      Book book = line_of_three();
      book.options.staff_in_feet = in_feet;
      book.readings.level[1].reading += m(off);
      const HeightsResult r = book.run();
      const bool is_told = off == 0.3048 || (off == 0.0254) == in_feet;
      CHECK(r.slips.empty() != is_told);
      if (is_told && in_feet) CHECK(r.slips[0].slip == (off == 0.3048 ? HeightSlip::foot : HeightSlip::inch));
    }
  }
}

TEST_CASE("a slip is not laid on one reading of a pair of housings that agree") {
  // BM 0 by both housings, BM 1 once: 100 mm between them.
  for (const bool torn : {false, true}) {
    CAPTURE(torn);
    Book book;
    book.benchmark(0, 10).benchmark(1, 10);
    book.pair(0, 0, 1, 1);
    book.laser(0, 1, torn ? 1.0 : 1.1);
    if (torn) book.readings.laser[1].reading += mm(200);
    const HeightsResult r = book.run();
    REQUIRE(r.planes.size() == 1);
    CHECK_FALSE(r.planes[0].is_within());
    REQUIRE(r.slips.size() == 1);
    CHECK(r.slips[0].slip == HeightSlip::hundred_millimetres);
    CHECK_FALSE(r.slips[0].reading);  // a benchmark may be it; and a torn pair is wrong besides
    book.benchmark(2, 10).laser(0, 2, 1.0).laser(1, 0, 1).laser(1, 1, 1).laser(1, 2, 1);
    for (const SlipOfHeight& s : book.run().slips) {
      CAPTURE(s.reading.value_or(99));
      CHECK(s.reading.has_value() != torn);
      if (s.reading) CHECK(*s.reading == 2);
    }
  }
  // A metre in one of the pair leaves half of it in the plane: not where they agree.
  Book book;
  book.benchmark(0, 10).benchmark(1, 10);
  book.pair(0, 0, 1, 1);
  book.laser(0, 1, 1.5);
  CHECK(book.run().slips.empty());
  book.readings.laser[1].reading += m(1);
  book.readings.laser[2].reading = m(1);
  REQUIRE(book.run().slips.size() == 1);
  CHECK(book.run().slips[0].slip == HeightSlip::metre);
}

TEST_CASE("a target read by two ways to it: what is wrong of the way that makes no line is told too") {
  Book book = line_of_three();
  book.way(3, 0, 1.660, 1, 1.140 + 0.3048).laser(0, 0, 2).laser(0, 1, 1.48);
  const HeightsResult r = book.run();
  const auto found =
      std::find_if(r.slips.begin(), r.slips.end(), [](const SlipOfHeight& s) { return !s.line && !s.plane; });
  REQUIRE(found != r.slips.end());
  CHECK(found->slip == HeightSlip::foot);
  CHECK(found->setup == std::size_t{3});
  CHECK_FALSE(found->reading);
}
