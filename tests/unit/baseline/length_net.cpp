#include "baseline/length_net.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <random>

#include "baseline/corners.h"
#include "support/noise.h"
#include "ties.h"

using namespace deckmark_test;

namespace {

struct Place {
  double x, y;
};
using Places = std::vector<Place>;

std::vector<Point<Drawing>> drawn(const Places& places) {
  std::vector<Point<Drawing>> out;
  for (const Place& p : places) out.push_back(drawing(p.x, p.y));
  return out;
}
double apart(const Place& a, const Place& b) { return std::hypot(a.x - b.x, a.y - b.y); }
MeasuredSide side(std::size_t from, std::size_t to, double length, double sd = 0.0015) {
  return {from, to, {m(length), m(sd)}};
}
std::vector<MeasuredSide> all_sides(const Places& places, double sd = 0.0015) {
  std::vector<MeasuredSide> out;
  for (std::size_t a = 0; a < places.size(); ++a)
    for (std::size_t b = a + 1; b < places.size(); ++b)
      out.push_back(side(a, b, apart(places[a], places[b]), sd));
  return out;
}

/// Determinant by elimination, for the theorem below.
double determinant(std::array<std::array<double, 5>, 5> a) {
  double out = 1;
  for (std::size_t k = 0; k < 5; ++k) {
    std::size_t best = k;
    for (std::size_t i = k; i < 5; ++i)
      if (std::abs(a[i][k]) > std::abs(a[best][k])) best = i;
    if (best != k) {
      std::swap(a[k], a[best]);
      out = -out;
    }
    out *= a[k][k];
    for (std::size_t i = k + 1; i < 5; ++i)
      for (std::size_t j = 5; j-- > k;) a[i][j] -= a[i][k] / a[k][k] * a[k][j];
  }
  return out;
}
/// Four points lie in a plane exactly where this is zero (Cayley 1841, Menger 1928). In the order of
/// `all_sides`.
double plane_condition(const std::array<double, 6>& d) {
  const auto sq = [&](std::size_t i) { return d[i] * d[i]; };
  return determinant({{{0, 1, 1, 1, 1},
                       {1, 0, sq(0), sq(1), sq(2)},
                       {1, sq(0), 0, sq(3), sq(4)},
                       {1, sq(1), sq(3), 0, sq(5)},
                       {1, sq(2), sq(4), sq(5), 0}}});
}

}  // namespace

// Wolf and Ghilani, Adjustment Computations, the trilateration of one station from three (from memory; the
// adjusted place, the sd of unit weight and the sds of the place were recomputed and agree): A, B, C fixed,
// lengths in feet without weights; U = 6861.32, 3727.82; S0 = 0.10; S = 0.078, 0.154.
TEST_CASE("a textbook's trilateration") {
  const Places places{{865.40, 4527.15}, {2432.55, 2047.25}, {2865.22, 27.15}, {6861.3, 3727.6}};
  std::vector<MeasuredSide> sides{side(0, 3, 6049.00, 1), side(1, 3, 4736.83, 1), side(2, 3, 5446.49, 1)};
  for (const auto& [a, b] : {std::pair{0, 1}, {0, 2}, {1, 2}}) {
    const auto i = static_cast<std::size_t>(a), j = static_cast<std::size_t>(b);
    sides.push_back(side(i, j, apart(places[i], places[j]), 1e-6));
  }
  const LengthsTogether t = hold_together(sides, drawn(places));
  REQUIRE(t.spare.size() == 1);
  CHECK(t.spare[0] == 1);
  CHECK(std::sqrt(t.square_sum[0]) == doctest::Approx(0.10).epsilon(0.05));
  const Place u{6861.32, 3727.82};
  for (std::size_t i = 0; i < 3; ++i)
    CHECK(std::abs(sides[i].length.value.metres() - t.residuals[i].metres() - apart(u, places[i])) < 0.005);
  CHECK_FALSE(t.contradicts[0]);
}

TEST_CASE("four marks and six lengths: residuals by the condition that the marks lie in a plane") {
  const Places places{{0, 0}, {31, 2}, {28, 19}, {-1, 23}};
  const std::array<double, 6> sds{0.001, 0.002, 0.0015, 0.001, 0.0025, 0.0015};
  std::array<double, 6> measured{};
  std::vector<MeasuredSide> sides = all_sides(places);
  for (std::size_t i = 0; i < 6; ++i) {
    measured[i] = sides[i].length.value.metres() + 0.001 * std::sin(1.0 + static_cast<double>(i));
    sides[i].length = {m(measured[i]), m(sds[i])};
  }
  // One condition W + B v = 0: v = S B' W / (B S B') is taken off, redundancy (B s)^2 / (B S B').
  std::array<double, 6> slope{};
  double spread = 0;
  for (std::size_t i = 0; i < 6; ++i) {
    auto up = measured, down = measured;
    up[i] += 1e-4;
    down[i] -= 1e-4;
    slope[i] = (plane_condition(up) - plane_condition(down)) / 2e-4;
    spread += std::pow(slope[i] * sds[i], 2);
  }
  const double off = plane_condition(measured);
  const LengthsTogether t = hold_together(sides, drawn(places));
  for (std::size_t i = 0; i < 6; ++i) {
    CAPTURE(i);
    CHECK(t.residuals[i].metres() ==
          doctest::Approx(slope[i] * sds[i] * sds[i] * off / spread).epsilon(1e-3));
    CHECK(t.redundancy[i] == doctest::Approx(std::pow(slope[i] * sds[i], 2) / spread).epsilon(1e-3));
  }
  CHECK(t.square_sum[0] == doctest::Approx(off * off / spread).epsilon(1e-3));
}

TEST_CASE("redundancies add up to the lengths to spare; what nothing checks has none") {
  // A rectangle with both diagonals, a mark that hangs on by one length, one that hangs on by two, a mark on
  // the line of two others, and a pair far away that was measured twice.
  const Places places{{0, 0}, {30, 0}, {30, 20}, {0, 20}, {40, 5}, {15, 30}, {12, 0}, {200, 0}, {210, 0}};
  std::vector<MeasuredSide> sides;
  for (const auto& [a, b] : {std::pair{0, 1},
                             {1, 2},
                             {2, 3},
                             {3, 0},
                             {0, 2},
                             {1, 3},
                             {1, 4},
                             {2, 5},
                             {3, 5},
                             {0, 6},
                             {6, 1},
                             {7, 8},
                             {8, 7}}) {
    const auto i = static_cast<std::size_t>(a), j = static_cast<std::size_t>(b);
    sides.push_back(side(i, j, apart(places[i], places[j])));
  }
  // Alike to the last digit the second reading of the pair checks nothing: it may be a row pasted twice.
  const LengthsTogether alike = hold_together(sides, drawn(places));
  CHECK(alike.spare == std::vector<std::size_t>{2, 0});
  CHECK(alike.network[12] == 1);
  CHECK(alike.redundancy[12] == 0);
  sides[12].length.value += mm(0.0001);
  const LengthsTogether t = hold_together(sides, drawn(places));
  REQUIRE(t.spare.size() == 2);
  CHECK(t.spare[0] == 2);  // the diagonal, and the line: 0 to 6 to 1 against 0 to 1
  CHECK(t.spare[1] == 1);
  double sum = 0;
  for (const double r : t.redundancy) sum += r;
  CHECK(sum == doctest::Approx(3));
  for (const std::size_t unchecked : {std::size_t{6}, std::size_t{7}, std::size_t{8}})
    CHECK(t.redundancy[unchecked] == 0);
  CHECK(t.redundancy[11] == doctest::Approx(0.5));
  CHECK(t.wrong.empty());
  CHECK_FALSE(t.contradicts[0]);

  // The pair's second reading is 20 mm longer: that pair alone, and neither of the two, is told.
  sides[12].length.value += mm(20);
  const LengthsTogether twice = hold_together(sides, drawn(places));
  REQUIRE(twice.wrong.size() == 1);
  CHECK(twice.wrong[0].suspects.size() == 2);
  CHECK(twice.wrong[0].suspects[0].side == 12);  // the one that is off the drawing first
  CHECK(twice.wrong[0].suspects[0].error.millimetres() == doctest::Approx(20));
  CHECK(twice.agree(0));
  CHECK_FALSE(twice.agree(11));
}

// 2026-11-27: four sides and two diagonals that contradict one another gave a squareness all the same, with
// the sd that they would have had if they had agreed.
TEST_CASE("of lengths that contradict one another no squareness is stated") {
  const Places places{{0, 0}, {30, 0}, {30, 20}, {0, 20}};
  const auto corner = [&](const std::vector<MeasuredSide>& sides) {
    return find_corner(sides, hold_together(sides, drawn(places)), drawn(places), m(20), {});
  };
  auto sides = all_sides(places, 0.001);
  const auto square = corner(sides);
  REQUIRE(square.has_value());
  CHECK(square->square.included->degrees() == doctest::Approx(90).epsilon(1e-12));
  // A diagonal's redundancy is a quarter (its force in the rectangle's self-stress is its length): 50 mm are
  // 25 times the sd that its residual has.
  sides[1].length.value += mm(50);
  const LengthsTogether t = hold_together(sides, drawn(places));
  CHECK(t.redundancy[1] == doctest::Approx(0.25).epsilon(1e-2));
  CHECK(std::sqrt(t.square_sum[0]) == doctest::Approx(25).epsilon(1e-2));
  const auto none = corner(sides);
  REQUIRE(none.has_value());
  CHECK(none->square.contradicted);
  CHECK_FALSE(none->square.included.has_value());
  CHECK_FALSE(none->square.sd.has_value());
  CHECK(none->square.verdict == Verdict::unsure);
  // Every one of the six explains it as well; put right, the diagonal alone brings all back to the drawing.
  REQUIRE(t.wrong.size() == 1);
  CHECK(t.wrong[0].suspects.size() == 6);
  CHECK(t.wrong[0].suspects[0].side == 1);
  CHECK(t.wrong[0].suspects[0].error.millimetres() == doctest::Approx(50).epsilon(1e-3));
  // Just under the limit of 3.29 sds nothing is said, just over it is.
  for (const auto& [off, contradicts] : {std::pair{6.5, false}, {6.7, true}}) {
    auto near = all_sides(places, 0.001);
    near[1].length.value += mm(off);
    CAPTURE(off);
    CHECK(hold_together(near, drawn(places)).contradicts[0] == contradicts);
  }
}

TEST_CASE("a length measured twice counts with the weighted mean of both") {
  const Places places{{0, 0}, {30, 0}, {0, 40}};
  const std::vector<MeasuredSide> sides{side(0, 1, 30), side(0, 2, 40), side(1, 2, 50.000, 0.002),
                                        side(2, 1, 50.005, 0.001)};
  const auto corner = find_corner(sides, hold_together(sides, drawn(places)), drawn(places), m(30), {});
  REQUIRE(corner.has_value());
  // Weights 1 : 4 give 50.004; c dc / ab = 50 x 0.004 / 1200.
  CHECK(corner->square.deviation->radians() == doctest::Approx(50 * 0.004 / 1200).epsilon(1e-3));
}

// Marks are set out 3 mm beside where the drawing has them (an axis), lengths have an sd of 1.5 mm, and one
// of them is 15 mm wrong.
TEST_CASE("a wrong tape is named first where it is checked, and a set without fault accuses none") {
  const std::vector<Places> layouts{
      {{0, 0}, {8, 0}, {19, 0}, {33, 0}},                       // six tapes along a line
      {{0, 0}, {30, 0}, {30, 20}, {0, 20}, {15, 3}, {14, 24}},  // six marks, every length between them
      {{0, 0}, {12, 0}, {25, 0}, {25, 18}, {12, 19}, {0, 18}}};
  std::mt19937 random(1);
  std::normal_distribution<double> normal;
  int tried = 0, named = 0, accused = 0, close = 0;
  for (int trial = 0; tried < 1000 / kShare; ++trial) {
    const Places& layout = layouts[static_cast<std::size_t>(trial) % layouts.size()];
    const bool line = layout.size() == 4;
    Places found = layout;
    for (Place& p : found) p = {p.x + 0.003 * normal(random), p.y + (line ? 0 : 0.003 * normal(random))};
    auto sides = all_sides(found);
    for (MeasuredSide& s : sides) s.length.value += m(0.0015 * normal(random));
    const LengthsTogether clean = hold_together(sides, drawn(layout));
    const std::size_t wrong = std::uniform_int_distribution<std::size_t>(0, sides.size() - 1)(random);
    if (clean.redundancy[wrong] <= 0.3) continue;
    ++tried;
    accused += clean.contradicts[0] ? 1 : 0;
    const double error = trial % 2 == 0 ? 0.015 : -0.015;
    sides[wrong].length.value += m(error);
    const LengthsTogether t = hold_together(sides, drawn(layout));
    if (t.wrong.empty() || t.wrong[0].suspects.size() > 1 || t.wrong[0].suspects[0].side != wrong) continue;
    ++named;
    // The estimate's sd is the sd over the root of the redundancy.
    const double sd = 0.0015 / std::sqrt(clean.redundancy[wrong]);
    close += std::abs(t.wrong[0].suspects[0].error.metres() - error) <= 3 * sd ? 1 : 0;
  }
  MESSAGE("named " << named << " of " << tried << ", accused " << accused << ", close " << close);
  CHECK(named >= 0.95 * tried);
  CHECK(close >= 0.99 * named);
  CHECK(accused <= 10);
}

// With one length to spare nothing but the drawing can say which to measure again first.
TEST_CASE("of six tapes round a rectangle all are suspects, and the wrong one mostly stands in front") {
  const Places layout{{0, 0}, {30, 0}, {30, 20}, {0, 20}};
  std::mt19937 random(1);
  std::normal_distribution<double> normal;
  const int trials = 1000 / kShare;
  int told = 0, first = 0, accused = 0;
  for (int trial = 0; trial < trials; ++trial) {
    Places found = layout;
    for (Place& p : found) p = {p.x + 0.003 * normal(random), p.y + 0.003 * normal(random)};
    auto sides = all_sides(found);
    for (MeasuredSide& s : sides) s.length.value += m(0.0015 * normal(random));
    accused += hold_together(sides, drawn(layout)).contradicts[0] ? 1 : 0;
    const std::size_t wrong = static_cast<std::size_t>(trial) % 6;
    sides[wrong].length.value += m(trial % 4 < 2 ? 0.05 : -0.05);
    const LengthsTogether t = hold_together(sides, drawn(layout));
    if (t.wrong.empty()) continue;
    ++told;
    CHECK(t.wrong[0].suspects.size() == 6);
    first += t.wrong[0].suspects[0].side == wrong ? 1 : 0;
  }
  MESSAGE("told " << told << ", first " << first << ", accused " << accused);
  // The shortest side's redundancy is 20^2 / (4 x 36.06^2) = 0.077: 50 mm are 9.2 sds of its residual.
  CHECK(told == trials);
  // The runner-up would leave the drawing by 50 mm, where marks and tapes scatter by 4.5 mm.
  CHECK(first >= 0.99 * told);
  CHECK(accused <= 10);
}
