// Stations by distances alone: a place, no orientation.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "simulation/station_world.h"

using namespace station_test;

namespace {

const Sds kSds{
    .angle = 1e-5, .distance = 0.002, .ppm = 2, .target = 0.001, .centring = 0.001, .height = 0.001};

// Distances to control, already reduced.
struct Case {
  SetupPlace place = SetupPlace::free;
  std::optional<ControlMark> mark;
  std::optional<Angle> orientation;
  std::vector<Sight> sights;
  std::vector<std::optional<ControlMark>> targets;
  Sight& add(const Point<Site>& control, double horizontal) {
    Sight s;
    s.target = targets.size();
    s.horizontal = m(horizontal);
    s.distance_sd = m(kSds.distance), s.target_sd = m(kSds.target);
    targets.push_back(ControlMark{control, std::nullopt, std::nullopt});
    sights.push_back(s);
    return sights.back();
  }
  SetupResult run() const {
    SetupInput in;
    in.place = place;
    in.mark = mark;
    in.orientation = orientation;
    in.sights = sights;
    in.targets = targets;
    return adjust_setup(in, {.instrument = options_of(kSds)});
  }
};

bool has(const SetupResult& r, SetupFactKind kind) {
  for (const SetupFact& f : r.facts)
    if (f.kind == kind) return true;
  return false;
}

}  // namespace

TEST_CASE("published trilateration: three distances to one station") {
  // Source: C. D. Ghilani, Adjustment Computations, chapter on trilateration, first worked example; inputs in
  // feet, from memory: that three distances of 5,000 ft meet within 0.08 ft vouches for them. The place was
  // computed beside the program by least squares of equal weights; x is easting.
  Case c;
  const double feet[3][3] = {
      {865.40, 4527.15, 6049.00}, {2432.55, 2047.25, 4736.83}, {2865.22, 27.15, 5446.49}};
  for (const auto& [x, y, distance] : feet) c.add(at(y * 0.3048, x * 0.3048), distance * 0.3048);
  for (Sight& s : c.sights) s.distance_sd = m(0.05), s.target_sd = m(0);
  SetupInput in;
  in.sights = c.sights;
  in.targets = c.targets;
  InstrumentOptions equal = options_of(kSds);
  equal.distance_ppm = 0;
  const SetupResult r = adjust_setup(in, {.instrument = equal});
  REQUIRE(r.status == SetupStatus::solved);
  CHECK(std::fabs(r.at.at.easting.metres() / 0.3048 - 6861.3168) < 1e-4);
  CHECK(std::fabs(r.at.at.northing.metres() / 0.3048 - 3727.8186) < 1e-4);
  const double residuals[3] = {0.0374, -0.0768, 0.0474};
  REQUIRE(r.rows.size() == 3);
  for (std::size_t k = 0; k < 3; ++k)
    CHECK(std::fabs(r.rows[k].length_residual.metres() / 0.3048 - residuals[k]) < 1e-4);
  CHECK(r.degrees_of_freedom == 1);
  CHECK(r.verdict == Verdict::within);
  CHECK_FALSE(r.orientation);
  CHECK_FALSE(r.sd_orientation());
  CHECK(r.covariance[2][2] == 0);
  CHECK(has(r, SetupFactKind::no_circle));
  CHECK_FALSE(side_shot(r, c.sights[0], 0, equal));
}

TEST_CASE("distances alone: covariance against numbers worked by hand") {
  // Two distances at right angles from the station: each fixes its own axis, whatever the other does.
  Case c;
  c.add(at(30, 0), 30);
  c.add(at(0, -40), 40);
  c.add(at(-50, 0), 50);
  const SetupResult r = c.run();
  REQUIRE(r.status == SetupStatus::solved);
  const auto variance = [&](double hd) { return std::pow(0.002 + 2e-6 * hd, 2) + 1e-6; };
  CHECK(r.covariance[1][1] == doctest::Approx(variance(40)).epsilon(1e-6));
  CHECK(r.covariance[0][0] == doctest::Approx(1 / (1 / variance(30) + 1 / variance(50))).epsilon(1e-6));
  CHECK(distance(r.at, at(0, 0)).metres() < 1e-7);
  CHECK(r.degrees_of_freedom == 1);
}

TEST_CASE("two distances meet at two places, and both are told; a third, a circle or a rough place decides") {
  Case c;
  c.add(at(20, 0), std::hypot(17, 4));
  c.add(at(0, 0), 5);  // the station at 3 N, 4 E or 3 N, 4 W
  SetupResult r = c.run();
  REQUIRE(r.status == SetupStatus::two_places);
  REQUIRE(r.places.size() == 2);
  const bool first_east = r.places[0].at.easting > m(0);
  CHECK(distance(r.places[first_east ? 0 : 1], at(3, 4)).metres() < 1e-6);
  CHECK(distance(r.places[first_east ? 1 : 0], at(3, -4)).metres() < 1e-6);
  // a third mark in the line of the two does not decide, 20 m beside it one does
  Case third = c;
  third.add(at(-15, 0), std::hypot(18, 4));
  CHECK(third.run().status == SetupStatus::two_places);
  third = c;
  third.add(at(0, 20), std::hypot(3, 16));
  r = third.run();
  REQUIRE(r.status == SetupStatus::solved);
  CHECK(distance(r.at, at(3, 4)).metres() < 1e-6);
  // a rough place: an observation of 1 m
  for (const double east : {3.0, -3.0}) {
    Case rough = c;
    rough.place = SetupPlace::own;
    rough.mark = ControlMark{at(2.5, east), std::nullopt, m(1)};
    r = rough.run();
    REQUIRE(r.status == SetupStatus::solved);
    CHECK(distance(r.at, at(3, east > 0 ? 4 : -4)).metres() < 1e-4);
    CHECK_FALSE(r.orientation);
  }
  // circles to both of them
  Case circles = c;
  for (std::size_t k = 0; k < 2; ++k) {
    const Vec<Site> way = c.targets[k]->at - at(3, 4);
    circles.sights[k].circle = CircleReading::degrees(azimuth_of(way).degrees() - 25);
    circles.sights[k].circle_sd = Angle::radians(kSds.angle);
  }
  r = circles.run();
  REQUIRE(r.status == SetupStatus::solved);
  CHECK(distance(r.at, at(3, 4)).metres() < 1e-6);
  CHECK(r.orientation->degrees() == doctest::Approx(25));
}

TEST_CASE("one circle among distances turns the station, and takes nothing from its place") {
  Case c;
  c.add(at(30, 0), 30);
  c.add(at(0, 40), 40);
  c.add(at(-50, 0), 50);
  const SetupResult without = c.run();
  c.sights[1].circle = CircleReading::degrees(90 - 15);
  c.sights[1].circle_sd = Angle::radians(kSds.angle);
  const SetupResult r = c.run();
  REQUIRE(r.status == SetupStatus::solved);
  CHECK(r.orientation->degrees() == doctest::Approx(15));
  CHECK(r.degrees_of_freedom == without.degrees_of_freedom);
  for (std::size_t i = 0; i < 2; ++i)
    for (std::size_t j = 0; j < 2; ++j)
      CHECK(std::fabs(r.covariance[i][j] - without.covariance[i][j]) < 1e-12);
}

TEST_CASE("distances that do not meet, too few, and a stated orientation") {
  Case c;
  c.add(at(20, 0), 9);
  c.add(at(0, 0), 10);
  CHECK(c.run().status == SetupStatus::apart);
  c.sights[0].horizontal = m(31);
  CHECK(c.run().status == SetupStatus::apart);
  c.sights.resize(1);
  CHECK(c.run().status == SetupStatus::too_few);
  // the same mark twice
  c.add(at(20, 0), 31);
  CHECK(c.run().status != SetupStatus::solved);
  Case three;
  three.add(at(30, 0), 30);
  three.add(at(0, 40), 40);
  three.add(at(-50, 0), 50);
  three.orientation = Angle::degrees(-90);
  const SetupResult r = three.run();
  CHECK(r.orientation->degrees() == doctest::Approx(270));
  CHECK_FALSE(has(r, SetupFactKind::no_circle));
  // over a known mark: a distance checks it
  Case known;
  known.place = SetupPlace::known;
  known.mark = ControlMark{at(0, 0), std::nullopt, std::nullopt};
  known.add(at(30, 0), 30.001);
  const SetupResult k = known.run();
  REQUIRE(k.status == SetupStatus::solved);
  CHECK(k.degrees_of_freedom == 1);
  CHECK_FALSE(k.orientation);
}

TEST_CASE("distances alone from raw readings: coverage, and a wrong distance is named") {
  Noise noise;
  const std::size_t runs = repeats(400);
  std::size_t inside = 0, named = 0;
  for (std::size_t run = 0; run < runs; ++run) {
    const Spot station{noise.uniform(-5, 5), noise.uniform(-5, 5), 101.5};
    const bool is_wrong = run % 2 == 1;
    const std::size_t victim = static_cast<std::size_t>(noise.uniform(0, 5));
    std::vector<Reading> readings;
    SetupInput in;
    std::vector<std::optional<ControlMark>> targets;
    for (std::size_t t = 0; t < 5; ++t) {
      const double way = 1.2566 * static_cast<double>(t) + noise.uniform(-0.3, 0.3),
                   far = noise.uniform(15, 40);
      const Spot spot{far * std::cos(way), far * std::sin(way), 100};
      targets.push_back(ControlMark{at(spot.n, spot.e), std::nullopt, std::nullopt});
      Shot shot{.target = t, .mark = spot};
      if (is_wrong && t == victim) shot.slope_error = 0.03;
      for (Reading r : read({.axis = station}, shot, kSds, 0.13, noise)) {
        r.circle = std::nullopt;
        readings.push_back(r);
      }
    }
    const InstrumentOptions options = options_of(kSds);
    const Reduction reduced = reduce(readings, options);
    CHECK(reduced.facts.empty());  // a face is of circles
    in.sights = reduced.sights;
    in.targets = targets;
    const SetupResult r = adjust_setup(in, {.instrument = options});
    REQUIRE(r.status == SetupStatus::solved);
    if (is_wrong) {
      if (!r.wrong.empty() && r.wrong[0].kind == WrongKind::distance && r.wrong[0].sight == victim) ++named;
      continue;
    }
    const double n = r.at.at.northing.metres() - station.n, e = r.at.at.easting.metres() - station.e;
    const PlanCovariance<Site> q = r.plan_covariance();
    const double determinant = q.first * q.second - q.cross * q.cross;
    // 95 % of chi-square of two degrees of freedom: 5.991, row STA-cu2, p = 0.05
    if ((n * n * q.second - 2 * n * e * q.cross + e * e * q.first) / determinant <= 5.991) ++inside;
  }
  MESSAGE("inside the 95 % ellipse " << inside << ", wrong distance of 30 mm named " << named << " of "
                                     << runs / 2);
  if (!kSanitized) {
    CHECK((inside >= 181 && inside <= 199));  // 200 at 95 %, three binomial sds
    CHECK(named >= 190);
  }
}
