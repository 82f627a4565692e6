#include "baseline/unit_mends.h"

#include <doctest/doctest.h>

#include "ties.h"

using namespace deckmark_test;

namespace {

/// Four corners of 9 m by 6 m on site, the drawing stated in metres as read.
std::vector<Tie> corners(double drawing_times, double site_times) {
  const double d = drawing_times, s = site_times;
  return ties({{0, 0, 2150 * s, 5310 * s},
               {9 * d, 0, 2159 * s, 5310 * s},
               {0, 6 * d, 2150 * s, 5316 * s},
               {9 * d, 6 * d, 2159.0005 * s, 5316.0007 * s}});
}

}  // namespace

TEST_CASE("ties whose units belong together need no other") {
  CHECK(unit_mends(corners(1, 1), {}, LengthUnit::metre, LengthUnit::metre).empty());
  CHECK(unit_mends(corners(1, 1), {}, LengthUnit::feet_inches, LengthUnit::metre).empty());
}

TEST_CASE("site numbers in metres read as feet: metres for the site, or feet for the drawing") {
  const auto found = unit_mends(corners(1, 0.3048), {}, LengthUnit::metre, LengthUnit::foot);
  REQUIRE(found.size() == 2);
  CHECK(found[0].is_site);
  CHECK(found[0].read_as == LengthUnit::foot);
  CHECK(found[0].meant == LengthUnit::metre);
  CHECK(found[0].after < mm(1));
  CHECK_FALSE(found[1].is_site);
  CHECK(found[1].read_as == LengthUnit::metre);
  CHECK(found[1].meant == LengthUnit::foot);
}

TEST_CASE("a drawing in metres read as millimetres: a site 10 mm wide is not believed") {
  const auto found = unit_mends(corners(0.001, 1), {}, LengthUnit::millimetre, LengthUnit::metre);
  REQUIRE(found.size() == 1);
  CHECK_FALSE(found[0].is_site);
  CHECK(found[0].meant == LengthUnit::metre);
}

TEST_CASE("a scale that is no ratio of units, a free scale, and ties that no unit mends have no mend") {
  CHECK(unit_mends(corners(1.2, 1), {}, LengthUnit::metre, LengthUnit::metre).empty());
  CHECK(unit_mends(corners(0.3048, 1), kFree, LengthUnit::metre, LengthUnit::metre).empty());
  auto set = corners(0.3048, 1);
  set[3].x = *set[3].x + m(1);
  CHECK(unit_mends(set, {}, LengthUnit::foot, LengthUnit::metre).empty());
}
