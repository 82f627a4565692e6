#include "stages/lengths.h"

#include <doctest/doctest.h>

#include <cmath>

#include "unit/stages/plain.h"

using namespace plain;

namespace {

struct Taped {
  std::string from, to;
  double metres;
};

/// Lengths and dimensions as their tables state them: row 0 stands on line 2.
PlainBaselines with(const std::vector<Taped>& lengths, const std::vector<Taped>& dimensions = {}) {
  const auto text = [](const std::vector<Taped>& rows, const char* header) {
    std::string out = header;
    for (const Taped& r : rows) out += r.from + "," + r.to + ",1\n";
    return out;
  };
  const auto columns = [](const char* value) {
    return std::vector<ColumnSpec>{
        {"from", ColumnKind::name, true}, {"to", ColumnKind::name, true}, {value, ColumnKind::length, true}};
  };
  PlainBaselines out;
  if (!lengths.empty())
    out.checks.lengths_table =
        table_of("lengths.csv", columns("measured"), text(lengths, "from,to,measured\n"));
  if (!dimensions.empty())
    out.checks.dimensions_table =
        table_of("dimensions.csv", columns("distance"), text(dimensions, "from,to,distance\n"));
  for (const Taped& r : lengths) out.checks.lengths.push_back({r.from, r.to, {m(r.metres), {}, {}, {}}});
  for (const Taped& r : dimensions) out.checks.dimensions.push_back({r.from, r.to, m(r.metres)});
  return out;
}

/// A rectangle of 4 m by 3 m, diagonals 5 m, and a point beside it.
const JobMarks& rectangle() {
  static const JobMarks marks =
      marks_of({{"P1", 0, 0}, {"P2", 4, 0}, {"P3", 4, 3}, {"P4", 0, 3}, {"Far", 40, 30}});
  return marks;
}

Placed by_fit(const FittedTransform& fit) { return {SitePlace::by_fit, {}, {}, fit, {}, {}, {}}; }

FittedTransform scaled_fit(double scale) {
  SimilarityParts parts = shifted_fit().site_from_drawing.parts();
  parts.scale = scale;
  return {claim(parts), {}};
}

bool tells(const std::vector<std::string>& lines, const std::string& words) {
  for (const std::string& line : lines)
    if (line.find(words) != std::string::npos) return true;
  return false;
}

}  // namespace

TEST_CASE("a job without lengths and dimensions has none") {
  CHECK(check_lengths(PlainBaselines{}.view(), rectangle(), nullptr).came == Came::absent);
  CHECK(check_lengths(with({{"P1", "P2", 4}}).view(), rectangle(), nullptr).is_there());
  CHECK(check_lengths(with({}, {{"P1", "P2", 4}}).view(), rectangle(), nullptr).is_there());
}

TEST_CASE("a length is off by measured minus stated, at the scale of the fit") {
  PlainBaselines b = with({{"P1", "P3", 5.004}, {"P2", "p1", 3.99}});
  b.square.tolerance = mm(5);
  const auto plain = check_lengths(b.view(), rectangle(), nullptr);
  REQUIRE(plain.is_there());
  REQUIRE(plain.value->lengths.size() == 2);
  CHECK(plain.value->lengths[0].stated.metres() == doctest::Approx(5));
  CHECK(plain.value->lengths[0].deviation.millimetres() == doctest::Approx(4));
  CHECK(plain.value->lengths[0].verdict == Verdict::within);
  CHECK(plain.value->lengths[1].deviation.millimetres() == doctest::Approx(-10));
  CHECK(plain.value->lengths[1].verdict == Verdict::outside);
  CHECK(plain.value->lengths[1].sd.millimetres() == doctest::Approx(1.5));  // DEFAULT of a tape
  REQUIRE(plain.value->outside.size() == 1);
  const Reason& length = plain.value->outside[0];
  CHECK(length.text == "length P2 to p1 is off by 10.0 mm, permitted 5.0 mm");
  CHECK(length.scope == ReasonScope::job);
  CHECK(length.where.source->places({length.where.offset})[0].line == 3);  // the second row

  const Placed placed = by_fit(scaled_fit(1.001));
  const auto scaled = check_lengths(b.view(), rectangle(), &placed);
  // 5.004 / 1.001 = 4.9990, 3.99 / 1.001 = 3.98601.
  CHECK(scaled.value->lengths[0].measured.metres() == doctest::Approx(5.004 / 1.001));
  CHECK(scaled.value->lengths[0].deviation.millimetres() == doctest::Approx(-0.999).epsilon(1e-3));
}

TEST_CASE("a dimension is keyed minus printed, and what is outside is told by its numbers") {
  PlainBaselines b = with({}, {{"P1", "P2", 4}, {"P1", "P3", 4.95}});
  b.checks.dimension_tolerance = mm(10);
  const auto checked = check_lengths(b.view(), rectangle(), nullptr);
  REQUIRE(checked.is_there());
  REQUIRE(checked.value->dimensions.size() == 2);
  CHECK(checked.value->dimensions[0].verdict == Verdict::within);
  CHECK(checked.value->dimensions[1].deviation.millimetres() == doctest::Approx(50));
  REQUIRE(checked.value->outside.size() == 1);
  const Reason& dimension = checked.value->outside[0];
  CHECK(dimension.text == "dimension P1 to P3 is printed 4.9500 m and keyed 5.0000 m");
  CHECK(dimension.where.source->places({dimension.where.offset})[0].line == 3);
  b.checks.dimension_tolerance = mm(50);  // exactly at the limit
  CHECK(check_lengths(b.view(), rectangle(), nullptr).value->outside.empty());
}

TEST_CASE("every unknown mark and every length to itself is told at its cell, and nothing is judged") {
  const PlainBaselines b = with({{"X1", "X2", 4}, {"P1", "P2", 99}, {"P1", "p1", 4}, {"P3", "Y", 4}},
                                {{"Z", "P2", 4}, {"P4", "P4", 4}});
  const auto checked = check_lengths(b.view(), rectangle(), nullptr);
  CHECK(checked.is_spoiled());
  CHECK_FALSE(checked.value.has_value());
  const std::string drawn = "expected the name of a drawing point",
                    any = "expected a mark of the ties table, or a drawing point";
  CHECK(told(checked.told, Grade::problem) ==
        std::vector<std::string>{
            "lengths.csv:2:1: from: found \"X1\", " + any, "lengths.csv:2:4: to: found \"X2\", " + any,
            "lengths.csv:4:4: to: found \"p1\" again, expected two different marks",
            "lengths.csv:5:4: to: found \"Y\", " + any, "dimensions.csv:2:1: from: found \"Z\", " + drawn,
            "dimensions.csv:3:4: to: found \"P4\" again, expected two different marks"});
  CHECK(checked.told.doubts() == 0);
}

TEST_CASE("a mark that is a tie and a point is the tie of a length, and the point of a dimension") {
  // The tie P2 states 4.5 m where the drawing has 4 m.
  PlainBaselines b = with({{"P1", "P2", 4.5}}, {{"P1", "P2", 4}});
  b.ties = {tie("p2", 4.5, 0, at(100, 204.5)), tie("T7", 0, 0, at(100, 200))};
  Placed placed = by_fit(shifted_fit());
  placed.baseline = BaselineResult{};
  placed.baseline->fit = shifted_fit();
  const auto checked = check_lengths(b.view(), rectangle(), &placed);
  REQUIRE(checked.is_there());
  CHECK(checked.value->lengths[0].stated.metres() == doctest::Approx(4.5));
  CHECK(checked.value->dimensions[0].measured.metres() == doctest::Approx(4));

  // What the tie does not state is where it was found.
  b.ties[0].tie.x.reset();
  b.ties[0].tie.at = at(100, 204.25);
  CHECK(check_lengths(b.view(), rectangle(), &placed).value->lengths[0].stated.metres() ==
        doctest::Approx(4.25));

  b.checks.lengths[0].to = "T-7";
  const auto lines = told(check_lengths(b.view(), rectangle(), &placed).told, Grade::problem);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].ends_with("or a drawing point; try T7"));
}

TEST_CASE("with ties that were refused names are judged, nothing is measured, and the result is spoiled") {
  PlainBaselines b = with({{"T1", "P2", 99}, {"T1", "Nobody", 4}});
  b.ties = {tie("T1", 0, 0, at(100, 200))};
  const auto faulty = check_lengths(b.view(), rectangle(), nullptr);
  CHECK(told(faulty.told, Grade::problem).size() == 1);
  CHECK(tells(told(faulty.told, Grade::problem), "lengths.csv:3:4: to: found \"Nobody\""));
  b.checks.lengths.pop_back();
  const auto silent = check_lengths(b.view(), rectangle(), nullptr);
  CHECK(silent.is_spoiled());
  CHECK_FALSE(silent.value.has_value());
  CHECK_FALSE(silent.told.has_problems());
  CHECK(silent.told.doubts() == 0);
}

TEST_CASE(
    "a length that was measured twice and a length that the others contradict are named at their rows") {
  const auto twice = check_lengths(with({{"P1", "P2", 4}, {"P2", "P1", 4.05}}).view(), rectangle(), nullptr);
  REQUIRE(twice.is_there());
  const auto lines = told(twice.told, Grade::doubt);
  CHECK(tells(lines,
              "was measured more than once, and the readings differ by 50.0 mm: measure it again to "
              "see which holds"));

  // Two braced rectangles side by side, braced across both, make one wrong diagonal stand out.
  const double kAcross = std::sqrt(73.0);  // 8 m by 3 m
  const JobMarks marks =
      marks_of({{"P1", 0, 0}, {"P2", 4, 0}, {"P3", 4, 3}, {"P4", 0, 3}, {"P5", 8, 0}, {"P6", 8, 3}});
  PlainBaselines b = with({{"P1", "P2", 4},
                           {"P2", "P3", 3},
                           {"P3", "P4", 4},
                           {"P4", "P1", 3},
                           {"P1", "P3", 5.02},
                           {"P2", "P4", 5},
                           {"P2", "P5", 4},
                           {"P5", "P6", 3},
                           {"P6", "P3", 4},
                           {"P2", "P6", 5},
                           {"P3", "P5", 5},
                           {"P1", "P6", kAcross},
                           {"P4", "P5", kAcross}});
  const auto one = check_lengths(b.view(), marks, nullptr);
  REQUIRE(one.is_there());
  REQUIRE(one.value->together.wrong.size() == 1);
  CHECK(
      told(one.told, Grade::doubt) ==
      std::vector<std::string>{"lengths.csv:6:7: measured: P1 to P3 is contradicted by the other lengths: it "
                               "reads 20.0 mm too long, they give 5.0000 m; measure it again"});
  // Read on site at the scale of the fit: all lengths are 1.001 of the drawing there.
  const Placed placed = by_fit(scaled_fit(1.001));
  for (TapedLength& l : b.checks.lengths) l.measured.tape = l.measured.tape * 1.001;
  b.checks.lengths[4].measured.tape = m(4.98 * 1.001);
  CHECK(
      tells(told(check_lengths(b.view(), marks, &placed).told, Grade::doubt),
            "P1 to P3 is contradicted by the other lengths: it reads 20.0 mm too short, they give 5.0050 m"));
}

TEST_CASE("with one length to spare all that may be wrong are named, the first to measure again in front") {
  const auto braced = [](double diagonal) {
    return with({{"P1", "P2", 4},
                 {"P2", "P3", 3},
                 {"P3", "P4", 4},
                 {"P4", "P1", 3},
                 {"P1", "P3", diagonal},
                 {"P2", "P4", 5}});
  };
  const PlainBaselines b = braced(5.05);
  const auto checked = check_lengths(b.view(), rectangle(), nullptr);
  const auto lines = told(checked.told, Grade::doubt);
  REQUIRE(lines.size() >= 1);
  CHECK(tells(lines,
              "lengths.csv:6:7: measured: 6 lengths contradict one another and cannot tell which is "
              "wrong: P1 to P3, "));
  CHECK(tells(lines, ". Measure P1 to P3 again first: if it is the one, it will read 5."));
  // What a large error would leave is not that exact: 1 m is told without a figure.
  const auto large = told(check_lengths(braced(6).view(), rectangle(), nullptr).told, Grade::doubt);
  CHECK(tells(large, "again first; if it reads the same, go on in this order"));
  CHECK_FALSE(tells(large, "it will read"));
  // Of lengths that contradict one another there is no angle, so no point that it moves most.
  REQUIRE(checked.value->square);
  CHECK(checked.value->square->contradicted);
  CHECK_FALSE(checked.value->square->included.has_value());
  CHECK_FALSE(checked.value->square->worst.has_value());
}

TEST_CASE("lengths between more marks than an adjustment takes are left alone, and that is told") {
  const auto chain = [](std::size_t marks) {
    std::vector<PlainMark> rows;
    std::vector<Taped> lengths;
    for (std::size_t i = 0; i < marks; ++i) {
      rows.push_back({"P" + std::to_string(i), static_cast<double>(i), 0});
      if (i > 0) lengths.push_back({rows[i - 1].name, rows[i].name, 1});
    }
    const auto checked = check_lengths(with(lengths).view(), marks_of(rows), nullptr);
    CHECK(checked.is_there());
    return told(checked.told, Grade::notice);
  };
  CHECK(chain(LengthsTogether::kMostMarks).empty());
  CHECK(
      chain(LengthsTogether::kMostMarks + 1) ==
      std::vector<std::string>{"lengths.csv: lengths: lengths between more than 120 marks that hang together "
                               "are not held against one another"});
}

TEST_CASE("lengths that contradict one another with no single one to blame are told at their first") {
  // One side four times, d off to either side with sd 1.5 mm: the squares add up to 4 d^2 / 1.5^2,
  // against 16.27 (chi-square at 0.999, three to spare), while no reading is off by 3.29 sds of its
  // residual, 1.3 mm.
  const auto doubts = [](double d) {
    const PlainBaselines b = with({{"P3", "P4", 4},
                                   {"P1", "P2", 4 + d},
                                   {"P1", "P2", 4 + d + 1e-6},
                                   {"P1", "P2", 4 - d},
                                   {"P1", "P2", 4 - d - 1e-6}});
    return told(check_lengths(b.view(), rectangle(), nullptr).told, Grade::doubt);
  };
  CHECK(doubts(0.0030).empty());  // 16.0
  CHECK(doubts(0.0032) ==         // 18.2
        std::vector<std::string>{
            "lengths.csv:3:7: measured: P1 to P2 and the lengths that hang together with it contradict one "
            "another, and no single one stands out: are their sds right, or are several wrong?"});
}

TEST_CASE("rows that are alike count once, and that is told") {
  const std::vector<Taped> once{{"P1", "P2", 4}, {"P1", "P4", 3.001}, {"P2", "P4", 5}};
  std::vector<Taped> again = once;
  for (const Taped& t : once) again.push_back({t.to, t.from, t.metres});
  const auto one = check_lengths(with(once).view(), rectangle(), nullptr);
  const auto two = check_lengths(with(again).view(), rectangle(), nullptr);
  CHECK_FALSE(tells(told(one.told, Grade::doubt), "alike"));
  CHECK(tells(told(two.told, Grade::doubt),
              "lengths.csv:5:7: measured: P2 to P1, P4 to P1 and P4 to P2 again, alike to the last digit: "));
  // Neither do they better the squareness that the lengths give.
  CHECK(*two.value->square->sd_over == *one.value->square->sd_over);
  CHECK(two.value->together.spare == std::vector<std::size_t>{0});
}

TEST_CASE("one slip of the table that explains the lengths is told in place of lengths to tape again") {
  struct Row {
    std::vector<Taped> lengths;
    const char* says;
  };
  const double f = 1 / 0.3048;
  for (const Row& r :
       {Row{{{"P1", "P4", 4},
             {"P1", "P2", 3},
             {"P4", "P3", 3},
             {"P2", "P3", 4},
             {"P1", "P3", 5},
             {"P2", "P4", 5}},
            "names exchanged? With P1 and P3, or P2 and P4 exchanged all lengths agree with the drawing: "
            "look "
            "which mark is which before one is moved"},
        Row{{{"P1", "P4", 3 * f}, {"P1", "P2", 4 * f}, {"P2", "P4", 5 * f}},
            "all 3 lengths keyed in feet? Read in feet in place of metres they agree with the drawing: write "
            "the unit in the head of the column"},
        Row{{{"P1", "P4", 3},
             {"P1", "P2", 4},
             {"P4", "P3", 4},
             {"P2", "P3", 3},
             {"P1", "P3", 5 * f},
             {"P2", "P4", 5}},
            "P1 to P3 keyed in feet? Read in feet in place of metres it agrees with the drawing: write the "
            "unit behind the number"}}) {
    const auto checked = check_lengths(with(r.lengths).view(), rectangle(), nullptr);
    REQUIRE(checked.is_there());
    CHECK(checked.value->slip == r.says);
    const auto lines = told(checked.told, Grade::doubt);
    CHECK(tells(lines, std::string("lengths.csv: lengths: ") + r.says));
    CHECK_FALSE(tells(lines, "again first"));
    CHECK_FALSE(checked.value->outside.empty());
  }
}

TEST_CASE("without ties the lengths show the squareness, over the smaller extent of the layout") {
  const JobMarks triangle = marks_of({{"P1", 0, 0}, {"P2", 4, 0}, {"P4", 0, 3}, {"Far", 3.5, 5}});
  // Sides 4, 3 and a diagonal 2 mm too long: cos = (16 + 9 - 5.002^2) / 24, the corner opens by
  // 5 * 0.002 / (4 * 3) = 0.000833 rad, 3.33 mm over 4 m.
  const PlainBaselines b = with({{"P1", "P2", 4}, {"P1", "P4", 3}, {"P2", "P4", 5.002}});
  const auto checked = check_lengths(b.view(), triangle, nullptr);
  REQUIRE(checked.is_there());
  REQUIRE(checked.value->square);
  CHECK(checked.value->corner_marks == std::vector<std::string>{"P1", "P2", "P4"});
  CHECK(checked.value->square->shorter == m(4));
  CHECK(checked.value->square->deviation_over->millimetres() == doctest::Approx(3.334).epsilon(1e-3));
  CHECK(checked.value->square->included->degrees() > 90);
  CHECK(checked.value->square->worst == 3U);  // 5 m up
  CHECK(squareness_of(nullptr, &*checked.value) == &*checked.value->square);

  // A signed fit without ties says nothing of the squareness; one with ties does.
  Placed placed = by_fit(shifted_fit());
  CHECK(check_lengths(b.view(), triangle, &placed).value->square.has_value());
  placed.baseline = BaselineResult{};
  placed.square = SquarenessResult{};
  const auto beside = check_lengths(b.view(), triangle, &placed);
  CHECK_FALSE(beside.value->square.has_value());
  CHECK_FALSE(beside.value->corner.has_value());
  CHECK(squareness_of(&placed, &*checked.value) == &*placed.square);
  placed.square.reset();
  CHECK(squareness_of(&placed, &*checked.value) == &*checked.value->square);
  CHECK(squareness_of(&placed, &*beside.value) == nullptr);
  CHECK(squareness_of(nullptr, nullptr) == nullptr);
}

TEST_CASE("a layout along one line has its length to carry") {
  const JobMarks line = marks_of({{"P1", 0, 0}, {"P2", 4, 0}});
  PlainBaselines b = with({{"T1", "T2", 4}, {"T1", "T3", 3}, {"T2", "T3", 5}});
  // Marks of the corner are drawing points too, beside the line.
  const JobMarks with_corner = marks_of({{"T1", 0, 0}, {"T2", 4, 0}, {"T3", 0, 3}});
  CHECK(check_lengths(b.view(), with_corner, nullptr).value->square->shorter == m(3));
  CHECK(check_lengths(with({{"P1", "P2", 4}}).view(), line, nullptr).value->square == std::nullopt);
}

// 2026-11-28: "tape a larger one" was said of floors that hold none.
TEST_CASE("the corner to tape in place of a small one is no larger than the floor between its marks") {
  // Legs of 4 m and 3 m on a floor of X by Y; 30 m or the less of both are carried. The figures: sd of the
  // angle s sqrt 2 sqrt(1/a^2 + 1/b^2) of a triangle, s times the latter of a rectangle, over the less of X
  // and Y; twice that at most half of the permitted.
  const auto advice = [](double x, double y, double sd, bool all_six, LengthUnit unit = LengthUnit::metre) {
    const JobMarks marks = marks_of({{"P1", 0, 0}, {"P2", 4, 0}, {"P3", 4, 3}, {"P4", 0, 3}, {"Far", x, y}});
    const std::vector<Taped> three{{"P1", "P2", 4}, {"P1", "P4", 3}, {"P2", "P4", 5}},
        six{{"P1", "P2", 4}, {"P2", "P3", 3}, {"P3", "P4", 4},
            {"P4", "P1", 3}, {"P1", "P3", 5}, {"P2", "P4", 5}};
    PlainBaselines b = with(all_six ? six : three);
    b.checks.tie_sd = mm(sd);
    b.site_unit = unit;
    const auto lines = told(check_lengths(b.view(), marks, nullptr).told, Grade::doubt);
    return lines.size() == 1 ? lines[0].substr(lines[0].find("; ") + 2)
                             : std::to_string(lines.size()) + " doubts";
  };
  // 30 m: half of 8.6036 mm over 2 x 30 m. s 0.5 mm: 4 m and 3 m times 4.1093.
  CHECK(advice(40, 30, 0.5, false) == "tape one with legs of 16.5 m by 12.4 m or more");
  // 8 m: half of 4.4429 mm over 2 x 8 m: 2.1221 times, within 9 m by 8 m; in 8.2 m by 8 m X ends first
  CHECK(advice(9, 8, 0.5, false) == "tape one with legs of 8.5 m by 6.4 m or more");
  CHECK(advice(8.2, 8, 0.5, false) == "tape one with legs of 8.2 m by 6.5 m or more");
  CHECK(advice(40, 30, 0.5, true) == "tape four sides and both diagonals of 11.7 m by 8.8 m or more");
  CHECK(advice(40, 30, 4, false) ==
        "tape four sides and both diagonals of 40.0 m by 30.0 m: good to 9.8 mm, as good as this room and "
        "this tape allow; it takes a finer tape, or an instrument that measures angles");
  CHECK(advice(40, 30, 3, false) ==
        "tape four sides and both diagonals of 40.0 m by 30.0 m: good to 7.3 mm, as good as this room and "
        "this tape allow");
  CHECK(advice(40, 30, 0.5, false, LengthUnit::feet_inches) ==
        "tape one with legs of 54'-0\" by 40'-6\" or more");
}

// 2026-11-28: a room taped from wall to wall was told to tape its own size, with the same figure.
TEST_CASE("a corner that the room does not let grow is told once, without advice") {
  const auto of = [](double x, double sd, Grade grade) {
    const JobMarks marks = marks_of({{"P1", 0, 0}, {"P2", 8, 0}, {"P3", 8, 6}, {"P4", 0, 6}, {"Far", x, 6}});
    PlainBaselines b = with({{"P1", "P2", 8},
                             {"P2", "P3", 6},
                             {"P3", "P4", 8},
                             {"P4", "P1", 6},
                             {"P1", "P3", 10},
                             {"P2", "P4", 10}});
    b.checks.tie_sd = mm(sd);
    return told(check_lengths(b.view(), marks, nullptr).told, grade);
  };
  // s times 10 / 48 rad over 6 m: 1.375 mm for s 1.1 mm, 2.695 mm 95 times in 100; permitted 3.85 mm.
  const auto fact = of(8.4, 1.1, Grade::notice);
  CHECK(of(8.4, 1.1, Grade::doubt).empty());
  REQUIRE(fact.size() == 1);
  CHECK(
      fact[0].find("the rectangle at P1 is good to 2.7 mm (95 %) over baselines of 6.0000 m, more than half "
                   "of the permitted 3.8 mm: that is as good as this room and this tape allow") !=
      std::string::npos);
  CHECK(fact[0].find("instrument") == std::string::npos);
  // Over what is permitted it decides too little: a finer tape helps, and it is a doubt.
  CHECK(of(8.4, 2, Grade::notice).empty());
  REQUIRE(of(8.4, 2, Grade::doubt).size() == 1);
  CHECK(of(8.4, 2, Grade::doubt)[0].find("allow; it takes a finer tape") != std::string::npos);
  // Twice as long a room takes a larger one.
  REQUIRE(of(16, 1, Grade::doubt).size() == 1);
  CHECK(of(16, 1, Grade::doubt)[0].find("tape four sides and both diagonals of 16") != std::string::npos);
}

TEST_CASE("a triangle too small for the baselines, and a rectangle with unequal sides, are doubts") {
  // Legs of 0.4 m and 0.3 m for baselines of 30 m.
  const JobMarks small = marks_of({{"P1", 0, 0}, {"P2", 0.4, 0}, {"P4", 0, 0.3}, {"Far", 40, 30}});
  const auto lines = told(
      check_lengths(with({{"P1", "P2", 0.4}, {"P1", "P4", 0.3}, {"P2", "P4", 0.5}}).view(), small, nullptr)
          .told,
      Grade::doubt);
  REQUIRE(lines.size() == 1);
  // A right angle between legs a, b under the diagonal c is good to sqrt(c^2/(ab)^2 + 1/b^2 + 1/a^2) = 5.8926
  // rad a metre of sd; with 1.5 mm over 30 m 265.17 mm, 1.96 times that for 95 %. Permitted: 0.09 / sqrt(30)
  // degrees.
  CHECK(
      lines[0] ==
      "lengths.csv: lengths: the triangle at P1 is too small for baselines of 30.0000 m: there it is good to "
      "519.7 mm (95 %), more than half of the permitted 8.6 mm; no triangle on this floor is large enough: "
      "tape "
      "four sides and both diagonals of 34.9 m by 26.2 m or more");

  PlainBaselines fine = with({{"P1", "P2", 4}, {"P1", "P4", 3}, {"P2", "P4", 5}});
  fine.checks.tie_sd = mm(0.2);
  CHECK(check_lengths(fine.view(), marks_of({{"P1", 0, 0}, {"P2", 4, 0}, {"P4", 0, 3}}), nullptr)
            .told.doubts() == 0);

  // Opposite sides 4.00 and 4.03 with equal diagonals.
  const auto unequal =
      told(check_lengths(with({{"P1", "P2", 4},
                               {"P2", "P3", 3},
                               {"P3", "P4", 4.03},
                               {"P4", "P1", 3},
                               {"P1", "P3", 5.012},
                               {"P2", "P4", 5.012}})
                             .view(),
                         marks_of({{"P1", 0, 0}, {"P2", 4, 0}, {"P3", 4, 3}, {"P4", 0, 3}}), nullptr)
               .told,
           Grade::doubt);
  CHECK(tells(unequal, "lengths.csv: lengths: opposite sides of the rectangle at P"));
}
