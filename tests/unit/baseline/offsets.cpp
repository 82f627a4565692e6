#include "baseline/offsets.h"

#include <doctest/doctest.h>

#include <cmath>

#include "ties.h"

using namespace deckmark_test;

TEST_CASE("swing ties have distances, a side and a crossing angle") {
  // Standing on E 100 N 200, facing north to N 230.
  const auto first = site(100, 200), second = site(100, 230);
  const SwingTie west = swing_tie(first, second, site(60, 230));
  CHECK(west.first.metres() == doctest::Approx(50));
  CHECK(west.second.metres() == doctest::Approx(40));
  CHECK(west.side == Side::left);
  CHECK(west.crossing.degrees() == doctest::Approx(std::atan2(30.0, 40.0) * 180 / 3.14159265358979323846));
  CHECK_FALSE(west.weak);
  CHECK(swing_tie(first, second, site(104, 203)).side == Side::right);
  CHECK(swing_tie(second, first, site(104, 203)).side == Side::left);
  const SwingTie between = swing_tie(first, second, site(100, 210));
  CHECK(between.side == Side::on_line);
  CHECK(between.crossing.degrees() == doctest::Approx(0));
  CHECK(between.weak);
  CHECK(swing_tie(first, second, site(400, 215)).weak);
}

TEST_CASE("two tapes swung to the printed distances meet in the point") {
  const auto first = site(5012.3, 871.2), second = site(5030.9, 866.4);
  for (const auto& p : {site(5020.0, 880.0), site(5018.0, 850.0), site(5033.0, 871.0)}) {
    const SwingTie s = swing_tie(first, second, p);
    const double d = distance(first, second).metres(), a = s.first.metres(), b = s.second.metres();
    const double along = (a * a - b * b + d * d) / (2 * d), off = std::sqrt(a * a - along * along);
    const double un = (second - first).by.northing.metres() / d,
                 ue = (second - first).by.easting.metres() / d;
    // Left of a direction (n, e) is (e, -n): facing north, west.
    const double hand = s.side == Side::left ? 1 : -1;
    const auto met = site(first.at.easting.metres() + along * ue - hand * off * un,
                          first.at.northing.metres() + along * un + hand * off * ue);
    CHECK(distance(met, p).metres() < 1e-9);
  }
}

TEST_CASE("running distances go on through the run, whatever stands between its rows") {
  const std::vector<Point<Drawing>> points{drawing(0, 0),  drawing(9, 9), drawing(3, 4),
                                           drawing(50, 0), drawing(3, 5), drawing(50, 2)};
  const std::vector<std::uint32_t> runs{1, 0, 1, 2, 1, 2};
  const auto along = running_distances(points, runs);
  CHECK(*along[0] == m(0));
  CHECK_FALSE(along[1].has_value());
  CHECK(along[2]->metres() == doctest::Approx(5));
  CHECK(*along[3] == m(0));
  CHECK(along[4]->metres() == doctest::Approx(6));
  CHECK(along[5]->metres() == doctest::Approx(2));
}
