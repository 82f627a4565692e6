// What a setup can say of its control: marks that moved, and what control that is held fixed hides.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>

#include "simulation/station_world.h"

using namespace station_test;

namespace {

const Sds kSds{
    .angle = 1e-5, .distance = 0.002, .ppm = 2, .target = 0.001, .centring = 0.001, .height = 0.001};

}  // namespace

// 2026-11-27: a direction without a distance was multiplied by a distance of 0, so that it was never off.
TEST_CASE("published resection: what its directions are off by at their targets") {
  // Source: tests/vectors/reference has none with residuals; Geodetic Network Adjustment Examples, rev. 3.5,
  // example Grossmann (directions): its point P by inner sights alone, sd 25 cc = 8.1 seconds. Offs and
  // smallest errors were computed beside the program, by normal equations in plain numbers.
  struct Row {
    double n, e, circle, off, finds;  // m, degrees, mm
  };
  const Row rows[] = {{78594.91, 9498.26, 0, 68.1, 703.5},
                      {75913.25, 10367.59, 80.56971, -82.3, 491.0},
                      {75306.80, 9300.43, 116.48304, 38.7, 600.3},
                      {78907.88, 7206.65, 303.65172, -38.9, 1606.3}};
  SetupInput in;
  std::vector<Sight> sights;
  std::vector<std::optional<ControlMark>> targets;
  for (const Row& r : rows) {
    Sight s;
    s.target = targets.size();
    s.circle = CircleReading::degrees(r.circle);
    s.circle_sd = Angle::arc_seconds(8.1);
    sights.push_back(s);
    targets.push_back(ControlMark{at(r.n, r.e), std::nullopt, std::nullopt});
  }
  in.sights = sights;
  in.targets = targets;
  const SetupResult result = adjust_setup(in, {.instrument = options_of(kSds)});
  REQUIRE(result.status == SetupStatus::solved);
  CHECK(std::fabs(result.at.at.northing.metres() - 76607.789) < 1e-3);
  CHECK(std::fabs(result.at.at.easting.metres() - 8401.925) < 1e-3);
  REQUIRE(result.rows.size() == 4);
  for (std::size_t k = 0; k < 4; ++k) {
    const SightRow& row = result.rows[k];
    CHECK(row.reach.metres() == doctest::Approx(distance(result.at, targets[k]->at).metres()));
    CHECK(std::fabs((row.reach * row.circle_residual.radians()).millimetres() - rows[k].off) < 0.1);
    CHECK((row.reach * *row.least_found).millimetres() == doctest::Approx(rows[k].finds).epsilon(1e-3));
  }
}
