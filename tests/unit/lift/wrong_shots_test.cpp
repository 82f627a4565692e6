// One shot that is wrong, by height or in plan: it is named, and no sound one beside it.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "lift_support.h"

using namespace lift_test;

namespace {

/// Four corners and the middle of a floor: the middle lies on both diagonals.
std::vector<DeckShot> five() {
  return {shot(5312.139, 2150.135, 16.200), shot(5317.928, 2154.070, 16.215),
          shot(5314.388, 2146.827, 16.198), shot(5320.177, 2150.762, 16.215),
          shot(5316.158, 2150.449, 16.205)};
}
std::vector<DeckShot> five_with_third(double elevation) {
  std::vector<DeckShot> out = five();
  out[2].elevation = Elevation::metres(elevation);
  return out;
}

}  // namespace

TEST_CASE("one shot of five that is far off is named alone, whatever two sloping levels would fit") {
  // By hand: the other four lie within 3 mm of a plane that gives 16.198 m there.
  for (const double wrong : {53.143, 17.198, 161.98, 26.198, 1.6198}) {
    CAPTURE(wrong);
    const DeckResult r = fit_deck(five_with_third(wrong));
    CHECK_FALSE(r.two_levels);
    REQUIRE(r.one_wrong.size() == 1);
    CHECK(r.one_wrong[0].shot == 2);
    CHECK(r.one_wrong[0].off.metres() == doctest::Approx(wrong - 16.198).epsilon(0.001));
    CHECK(r.far_of_rest.empty());
    REQUIRE(r.deck_of_rest);
    CHECK(std::fabs(r.deck_of_rest->elevation_at(at(5314.388, 2146.827)).above_datum().metres() - 16.198) <
          0.002);
  }
}

TEST_CASE("where a sloping deck would explain as much by another shot, both are told, the flattest first") {
  const DeckResult r = fit_deck(five_with_third(16.498));
  REQUIRE(r.one_wrong.size() == 2);
  CHECK(r.one_wrong[0].shot == 2);
  CHECK(r.one_wrong[1].shot == 1);  // across the middle
  CHECK(r.one_wrong[0].slope < 0.01);
  CHECK(r.one_wrong[1].slope > 0.05);
}

TEST_CASE("of four shots any may be wrong, unless all but one account ask for a deck steeper than 1:4") {
  const auto four = [](double corner) {
    return std::vector{shot(0, 0, 16), shot(0, 8, 16), shot(8, 8, corner), shot(8, 0, 16)};
  };
  CHECK(fit_deck(four(16.0)).one_wrong.empty());
  const DeckResult some = fit_deck(four(16.5));
  REQUIRE(some.one_wrong.size() == 4);
  CHECK(some.one_wrong[0].shot == 2);
  CHECK(some.one_wrong[0].off.metres() == doctest::Approx(0.5));
  const DeckResult much = fit_deck(four(36.0));
  REQUIRE(much.one_wrong.size() == 1);
  CHECK(much.one_wrong[0].shot == 2);
}

TEST_CASE("a slip in the elevation of one shot of many names that shot, by as much as it is off") {
  // Truth: a sloping deck, shots with 3 mm of scatter; the slip is put into the keyed number.
  Noise noise;
  std::size_t named = 0, alone = 0, tried = 0;
  for (std::size_t k = 0; k < repeats(1000); ++k) {
    const double slope_n = noise.uniform(-0.02, 0.02), slope_e = noise.uniform(-0.02, 0.02);
    const std::size_t count = 7 + k % 8, wrong = k % count;
    std::vector<DeckShot> shots;
    for (std::size_t i = 0; i < count; ++i) {
      const double n = noise.uniform(0, 20), e = noise.uniform(0, 30);
      shots.push_back(shot(n, e, 16 + slope_n * n + slope_e * e + 0.003 * noise.normal()));
    }
    const double keyed = shots[wrong].elevation.above_datum().metres();
    const double slip = k % 4 == 0   ? 1.0
                        : k % 4 == 1 ? -10.0
                        : k % 4 == 2 ? keyed * 9
                                     : keyed * 0.3048 - keyed;
    shots[wrong].elevation = Elevation::metres(keyed + slip);
    const DeckResult r = fit_deck(shots);
    if (r.two_levels || r.one_wrong.empty()) continue;
    ++tried;
    if (r.one_wrong[0].shot != wrong) continue;
    ++named;
    if (r.one_wrong.size() == 1 && r.far_of_rest.empty()) ++alone;
    // The plane of the others is known to a few scatters, less well where the shot stands outside them.
    CHECK(std::fabs(r.one_wrong[0].off.metres() - slip) < 0.15);
  }
  MESSAGE("named " << named << ", alone " << alone << " of " << tried);
  CHECK(tried * 100 >= repeats(1000) * 97);
  CHECK(named * 1000 >= tried * 995);
  CHECK(alone * 100 >= named * 95);
}

TEST_CASE("a shot that lies apart in plan is named, with which of its coordinates") {
  std::vector<DeckShot> shots = five();
  CHECK_FALSE(fit_deck(shots).lone);
  std::swap(shots[2].at.at.northing, shots[2].at.at.easting);
  const DeckResult r = fit_deck(shots);
  REQUIRE(r.lone);
  CHECK(r.lone->shot == 2);
  CHECK(r.lone->exchanged);
  // Farthest pair of the others and way to the nearest, by hand from the coordinates.
  CHECK(r.lone->reach.metres() == doctest::Approx(std::hypot(8.038, 0.627)));
  CHECK(r.lone->away.metres() == doctest::Approx(std::hypot(5312.139 - 2146.827, 5314.388 - 2150.135)));
  shots = five();
  shots[0].at.at.easting = m(2510.135);
  const DeckResult digits = fit_deck(shots);
  REQUIRE(digits.lone);
  CHECK(digits.lone->shot == 0);
  CHECK_FALSE(digits.lone->exchanged);
  CHECK(digits.lone->easting_apart);
  CHECK_FALSE(digits.lone->northing_apart);
}

TEST_CASE("five times the reach of the others is not apart, a millimetre more is") {
  const auto away = [](double n) {
    return fit_deck(std::vector{shot(0, 0, 16), shot(0, 3, 16), shot(4, 0, 16), shot(4 + n, 0, 16)}).lone;
  };
  CHECK_FALSE(away(25));  // 5 m between the second and the third
  CHECK(away(25.001));
}

TEST_CASE("a lone shot is found too where it leaves the deck on one line") {
  std::vector<DeckShot> shots = five();
  shots[2].at = at(2146827, 5314388);
  const DeckResult r = fit_deck(shots);
  CHECK(r.status == DeckStatus::on_one_line);
  REQUIRE(r.lone);
  CHECK(r.lone->shot == 2);
}

TEST_CASE("the farthest pair is that of all pairs, however the site is turned") {
  Noise noise;
  CHECK(farthest_pair({}) == m(0));
  CHECK(farthest_pair(std::vector{at(1, 1)}) == m(0));
  for (int k = 0; k < 50; ++k) {
    std::vector<Point<Site>> places;
    for (int i = 0; i < 2 + k; ++i) places.push_back(at(noise.uniform(0, 20), noise.uniform(0, 9)));
    Length most = m(0);
    for (const auto& a : places)
      for (const auto& b : places) most = std::max(most, distance(a, b));
    CHECK(farthest_pair(places) == most);
  }
}
