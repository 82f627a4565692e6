#include "baseline/strings.h"

#include <doctest/doctest.h>

#include <cmath>

#include "baseline/length_figure.h"
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
  sides.push_back(taped(0, 1, 8));  // taped twice, from the other end too
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
