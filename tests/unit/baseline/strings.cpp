#include "baseline/strings.h"

#include <doctest/doctest.h>

#include <array>
#include <cmath>
#include <utility>

#include "baseline/corners.h"
#include "baseline/length_figure.h"
#include "baseline/length_slips.h"
#include "baseline/moves.h"
#include "ties.h"

using namespace deckmark_test;

namespace {

Point<Site> spot(double northing, double easting) {
  return {{.northing = m(northing), .easting = m(easting)}};
}

/// E = x, N = y; or N = -y.
Transform<Site, Drawing> as_drawn(bool mirrored = false) {
  return claim({.drawing_centre = drawing(0, 0),
                .site_centre = spot(0, 0),
                .azimuth_x = Azimuth::degrees(90),
                .scale = 1,
                .mirrored = mirrored});
}

MeasuredSide taped(std::size_t from, std::size_t to, double length, double sd = 0.001) {
  return {from, to, {m(length), m(sd)}};
}

}  // namespace

TEST_CASE("distances are square to each string, positive towards growing X and Y") {
  // Strings 0.5 m inside the grid, the second along Y leaning by 3 in 4.
  const StringLines square(spot(0.5, 0.5), spot(0.5, 9), spot(7, 0.5), as_drawn());
  CHECK(square.of(spot(3, 2)).from_x_string.metres() == doctest::Approx(1.5));
  CHECK(square.of(spot(3, 2)).from_y_string.metres() == doctest::Approx(2.5));
  CHECK(square.of(spot(0, 0)).from_x_string.metres() == doctest::Approx(-0.5));
  CHECK(square.of(spot(0, 0)).from_y_string.metres() == doctest::Approx(-0.5));
  CHECK(square.crossing().degrees() == doctest::Approx(90));
  CHECK(square.is_second_to_x());
  CHECK(square.is_third_to_y());
  const StringLines leaning(spot(0, 0), spot(0, 9), spot(8, 6), as_drawn());
  // Of (5, 0) to the line with direction (6, 8): 5 * 8 / 10.
  CHECK(leaning.of(spot(0, 5)).from_x_string.metres() == doctest::Approx(4));
  CHECK(leaning.of(spot(0, 5)).from_y_string.metres() == doctest::Approx(0));
  CHECK(leaning.crossing().degrees() == doctest::Approx(53.1301).epsilon(1e-6));
}

TEST_CASE("the sign is of the drawing's axes, whichever way the strings run") {
  // From the far corner: the second mark lies towards -X, the third towards -Y.
  const StringLines back(spot(8, 10), spot(8, 0), spot(0, 10), as_drawn());
  CHECK(back.of(spot(7, 9)).from_x_string.metres() == doctest::Approx(-1));
  CHECK(back.of(spot(7, 9)).from_y_string.metres() == doctest::Approx(-1));
  CHECK_FALSE(back.is_second_to_x());
  CHECK_FALSE(back.is_third_to_y());
  const StringLines mirrored(spot(0, 0), spot(0, 9), spot(-8, 0), as_drawn(true));
  CHECK(mirrored.of(spot(-3, 2)).from_y_string.metres() == doctest::Approx(3));
  CHECK(mirrored.is_third_to_y());
}

TEST_CASE("how far each string runs off its axis") {
  const StringLines lines(spot(0, 0), spot(1, 8), spot(-6, 0), as_drawn());
  CHECK(lines.off_x().degrees() == doctest::Approx(7.1250).epsilon(1e-4));
  CHECK(lines.off_y().degrees() == doctest::Approx(0));
  const StringLines diagonal(spot(0, 0), spot(0, 8), spot(6, 8), as_drawn());
  CHECK(diagonal.off_x().degrees() == doctest::Approx(0));
  CHECK(diagonal.off_y().degrees() == doctest::Approx(53.1301).epsilon(1e-6));
}

TEST_CASE("strings that are exchanged are told from strings that lean") {
  CHECK(StringLines(spot(0, 0), spot(9, 0), spot(0, 9), as_drawn()).are_exchanged());
  CHECK_FALSE(StringLines(spot(0, 0), spot(0, 9), spot(9, 0), as_drawn()).are_exchanged());
  // The string along X turned by 50 degrees, the one along Y by 40: still these two.
  CHECK_FALSE(StringLines(spot(0, 0), spot(7.66, 6.43), spot(7.66, -6.43), as_drawn()).are_exchanged());
}

TEST_CASE("where lengths alone have the marks: as one sheet, and whether they check one another") {
  const std::vector<Point<Drawing>> places{drawing(0, 0), drawing(8, 0), drawing(0, 6), drawing(8, 6)};
  const std::vector<std::size_t> asked{0, 1, 2};
  std::vector<MeasuredSide> sides{taped(0, 1, 8.01), taped(0, 2, 6)};
  CHECK_FALSE(length_figure(std::vector{taped(0, 1, 8)}, places, asked));  // the third is in no length
  const auto open = length_figure(sides, places, asked);
  REQUIRE(open);
  CHECK_FALSE(open->is_fixed);
  sides.push_back(taped(1, 2, std::hypot(8.01, 6)));
  const auto bare = length_figure(sides, places, asked);
  REQUIRE(bare);
  CHECK(bare->is_fixed);
  CHECK(bare->unchecked.size() == 3);
  CHECK(distance(bare->place_of(0), bare->place_of(1)).metres() == doctest::Approx(8.01).epsilon(1e-9));
  // No scale, all marks alike: the centre stays where it is drawn.
  double x = 0, y = 0;
  for (const Point<Drawing>& p : bare->found) x += p.at.x.metres() / 3, y += p.at.y.metres() / 3;
  CHECK(x == doctest::Approx(8.0 / 3));
  CHECK(y == doctest::Approx(2));
  sides.push_back(taped(1, 3, 6));
  sides.push_back(taped(2, 3, 8.01));
  CHECK(length_figure(sides, places, asked)->unchecked.size() == 3);  // the fourth mark swings beside them
  sides.push_back(taped(0, 3, std::hypot(8.01, 6)));
  CHECK(length_figure(sides, places, asked)->unchecked.empty());
}

TEST_CASE("the spare length of another corner checks nothing of the strings") {
  // A triangle of strings, and a braced square that hangs on it by one length.
  const std::vector<Point<Drawing>> places{drawing(0, 0),  drawing(8, 0),  drawing(0, 6), drawing(20, 0),
                                           drawing(24, 0), drawing(20, 3), drawing(24, 3)};
  std::vector<MeasuredSide> sides{taped(0, 1, 8), taped(0, 2, 6), taped(1, 2, 10), taped(1, 3, 12),
                                  taped(3, 4, 4), taped(3, 5, 3), taped(4, 6, 3),  taped(5, 6, 4),
                                  taped(3, 6, 5), taped(4, 5, 5)};
  const auto figure = length_figure(sides, places, std::vector<std::size_t>{0, 1, 2});
  REQUIRE(figure);
  CHECK(figure->is_fixed);
  CHECK(figure->unchecked == std::vector<std::size_t>{0, 1, 2});
  sides.push_back(taped(1, 0, 8));  // the same row again, or taped from the other end and read alike
  CHECK(length_figure(sides, places, std::vector<std::size_t>{0, 1, 2})->unchecked ==
        std::vector<std::size_t>{0, 1, 2});
  sides.push_back(taped(1, 0, 8.0004));  // taped twice
  CHECK(length_figure(sides, places, std::vector<std::size_t>{0, 1, 2})->unchecked ==
        std::vector<std::size_t>{1, 2});
}

TEST_CASE("one mark off along a side is moved back along that side") {
  const std::vector<Point<Drawing>> places{drawing(0, 0), drawing(8, 0), drawing(0, 6), drawing(8, 6)};
  const auto taped_all = [&](double x, double y) {  // mark 1 lies there
    return std::vector{taped(0, 1, std::hypot(x, y)),
                       taped(0, 2, 6),
                       taped(1, 3, std::hypot(8 - x, 6 - y)),
                       taped(2, 3, 8),
                       taped(0, 3, 10),
                       taped(1, 2, std::hypot(x, 6 - y))};
  };
  const MovesResult along = marks_to_move(taped_all(8.012, 0), places);
  REQUIRE(along.moves.size() == 1);
  CHECK(along.moves[0].mark == 1);
  CHECK(along.moves[0].toward == 0);
  CHECK(along.moves[0].move.millimetres() == doctest::Approx(12).epsilon(0.01));
  const MovesResult short_of = marks_to_move(taped_all(7.988, 0), places);
  REQUIRE(short_of.moves.size() == 1);
  CHECK(short_of.moves[0].move.millimetres() == doctest::Approx(-12).epsilon(0.01));
  // Off along both sides: two rows of one mark.
  const MovesResult both = marks_to_move(taped_all(8.012, 0.010), places);
  REQUIRE(both.moves.size() == 2);
  CHECK(both.moves[0].mark == 1);
  CHECK(both.moves[1].mark == 1);
  CHECK(both.moves[0].toward == 0);
  CHECK(both.moves[0].move.millimetres() == doctest::Approx(12).epsilon(0.02));
  CHECK(both.moves[1].toward == 3);
  CHECK(both.moves[1].move.millimetres() == doctest::Approx(-10).epsilon(0.02));
  // Across the other way the line to the far corner does it alone.
  CHECK(marks_to_move(taped_all(8.012, -0.010), places).moves.size() == 1);
  CHECK(marks_to_move(taped_all(8.001, 0.001), places).moves.empty());  // less than the tape can tell
}

TEST_CASE("lengths that no few marks explain move none") {
  // A tape that reads one part in five hundred long: every mark of six would have to move.
  std::vector<Point<Drawing>> places;
  for (const auto& [x, y] : {std::pair(0, 0), {8, 0}, {16, 0}, {0, 6}, {8, 6}, {16, 6}})
    places.push_back(drawing(x, y));
  std::vector<MeasuredSide> sides;
  for (std::size_t a = 0; a < 6; ++a)
    for (std::size_t b = a + 1; b < 6; ++b)
      sides.push_back(taped(a, b, 1.002 * distance(places[a], places[b]).metres()));
  const MovesResult found = marks_to_move(sides, places);
  CHECK_FALSE(found.is_explained);
  CHECK(found.moves.empty());
}

TEST_CASE("squareness outside moves a mark by less than single lengths can tell") {
  // Mark 2 stands 4 mm aside along X, each length within 5 mm: the tape's sd is 1.6 mm.
  const std::vector<Point<Drawing>> places{drawing(0, 0), drawing(17, 0), drawing(0, 11), drawing(17, 11)};
  std::vector<MeasuredSide> sides;
  const std::pair<double, double> floor[] = {{0, 0}, {17, 0}, {0.004, 11}, {17, 11}};
  for (std::size_t a = 0; a < 4; ++a)
    for (std::size_t b = a + 1; b < 4; ++b)
      sides.push_back(taped(
          a, b, std::hypot(floor[b].first - floor[a].first, floor[b].second - floor[a].second), 0.0016));
  REQUIRE(marks_to_move(sides, places).moves.empty());
  std::size_t asked = 0;
  const auto square_within = [&](double most) {
    return [&, most](std::span<const MeasuredSide> after) {
      ++asked;
      const auto corner = find_corner(after, hold_together(after, places), places, m(11), {});
      return std::abs(corner->square.deviation_over->metres()) <= most;
    };
  };
  const MovesResult found = marks_to_move(sides, places, square_within(0.0015));
  CHECK(found.is_explained);
  REQUIRE(found.moves.size() == 1);
  CHECK(asked > 1);
  // Back along X, by mark 2 or by the one beside it: what is left is within.
  CHECK(std::abs(found.moves[0].move.millimetres()) == doctest::Approx(4).epsilon(0.3));
  CHECK(marks_to_move(sides, places, square_within(0.010)).moves.empty());
  // What no move brings about: the lengths alone decide, and nothing is explained.
  const MovesResult never = marks_to_move(sides, places, [](std::span<const MeasuredSide>) { return false; });
  CHECK_FALSE(never.is_explained);
  CHECK(never.moves.empty());
}

namespace {

/// Six lengths of a rectangle of 17 m by 11 m, 1 mm of noise, with these names for its corners.
std::vector<MeasuredSide> rectangle(const std::array<std::size_t, 4>& named, double factor = 1) {
  const std::pair<double, double> floor[] = {{0, 0}, {17, 0}, {0, 11}, {17, 11}};
  std::vector<MeasuredSide> out;
  double noise = 0.001;
  for (std::size_t a = 0; a < 4; ++a)
    for (std::size_t b = a + 1; b < 4; ++b, noise = -noise)
      out.push_back(taped(
          named[a], named[b],
          factor * std::hypot(floor[b].first - floor[a].first, floor[b].second - floor[a].second) + noise));
  return out;
}

}  // namespace

TEST_CASE("names exchanged in the table are told, with their mirror image") {
  const std::vector<Point<Drawing>> places{drawing(0, 0), drawing(17, 0), drawing(0, 11), drawing(17, 11),
                                           drawing(5, 3)};
  const std::vector<Length> six(6, m(0.005)), seven(7, m(0.005));
  CHECK(exchanged_names(rectangle({0, 1, 2, 3}), places, six).empty());
  CHECK(exchanged_names(rectangle({0, 2, 1, 3}), places, six) == std::vector<MarkPair>{{0, 3}, {1, 2}});
  CHECK(exchanged_names(rectangle({1, 0, 2, 3}), places, six) == std::vector<MarkPair>{{0, 1}, {2, 3}});
  // A length to a mark inside tells which.
  std::vector<MeasuredSide> more = rectangle({0, 2, 1, 3});
  more.push_back(taped(1, 4, std::hypot(5, 8)));
  CHECK(exchanged_names(more, places, seven) == std::vector<MarkPair>{{1, 2}});
  more.back().length.value = m(std::hypot(5, 8) + 0.006);  // one length that is outside then too
  CHECK(exchanged_names(more, places, seven).empty());
  // One length alone between two marks: any exchange with a third that fits is no more likely than another.
  CHECK(exchanged_names(std::vector{taped(0, 1, 11)}, places, std::vector{m(0.005)}).empty());
}

TEST_CASE("lengths keyed in another unit are told by what brings them within") {
  const std::vector<Point<Drawing>> places{drawing(0, 0), drawing(17, 0), drawing(0, 11), drawing(17, 11)};
  const std::vector<Length> permitted(6, m(0.005));
  CHECK(unit_slip(rectangle({0, 1, 2, 3}), places, permitted, LengthUnit::metre).sides.empty());
  const LengthUnitSlip all =
      unit_slip(rectangle({0, 1, 2, 3}, 1 / 0.3048), places, permitted, LengthUnit::metre);
  CHECK(all.sides.size() == 6);
  CHECK(all.meant == LengthUnit::foot);
  std::vector<MeasuredSide> one = rectangle({0, 1, 2, 3});
  one[3].length.value = one[3].length.value * 0.3048;  // keyed in metres where feet are read
  const LengthUnitSlip metres = unit_slip(one, places, permitted, LengthUnit::foot);
  CHECK(metres.sides == std::vector<std::size_t>{3});
  CHECK(metres.meant == LengthUnit::metre);
  one[3].length.value = one[3].length.value + m(0.003);  // 10 mm in feet: no unit does it
  CHECK(unit_slip(one, places, permitted, LengthUnit::foot).sides.empty());
}
