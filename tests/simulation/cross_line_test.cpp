// The right angle of a cross-line laser from two standings: rooms, standings and tapes of our own, with none
// of the room's formulas.
#include <doctest/doctest.h>

#include <cmath>
#include <complex>
#include <numbers>
#include <vector>

#include "adjust/statistics.h"
#include "simulation/station_world.h"
#include "station/field_tests.h"

using namespace station_test;

namespace {

using Plan = std::complex<double>;  // metres: east, north

/// A direction, clockwise from north.
Plan towards(double radians) { return {std::sin(radians), std::cos(radians)}; }
double direction(Plan from, Plan to) { return std::atan2((to - from).real(), (to - from).imag()); }

struct Crew {
  double ab = 6, ac = 12;  // metres
  double error = 0;        // what the beams enclose more than a right angle, radians
  double centring = 0, aim = 0, mark = 0, tape = 0;  // sds, metres, across the line
};

/// One set, in a room that is turned anyhow. The second beam stands clockwise of the first.
CrossLineSet set_of(const Crew& crew, Noise& noise) {
  const double quarter = std::numbers::pi / 2 + crew.error, room = 6 * noise.normal();
  const Plan a{100, 200}, b = a + crew.ab * towards(room);
  const auto near = [&](Plan p, double sd) { return p + Plan(sd * noise.normal(), sd * noise.normal()); };
  const Plan over_a = near(a, crew.centring);
  const double first = direction(over_a, near(b, crew.aim));
  const Plan c = near(over_a + crew.ac * towards(first + quarter), crew.mark);
  const Plan over_b = near(b, crew.centring);
  const double second = direction(over_b, near(a, crew.aim));
  const Plan d = near(over_b + crew.ac * towards(second - quarter), crew.mark);
  return {Length::metres(std::abs(b - a) + crew.tape * noise.normal()),
          Length::metres(std::abs(d - c) + crew.tape * noise.normal()), Length::metres(crew.ac)};
}

FieldValue angle_of(const FieldResult& r) {
  REQUIRE(r.values.size() == 1);
  return r.values.front();
}

double seconds(double radians) { return radians * 180 * 3600 / std::numbers::pi; }

}  // namespace

TEST_CASE("cross-line laser: without noise the error comes back, on its side, over any room") {
  Noise noise;
  for (const double error : {0.0, 1e-5, -1e-4, 5e-4})
    for (const double ac : {4.0, 12.0, 30.0}) {
      const std::vector<CrossLineSet> sets(2, set_of({.ac = ac, .error = error}, noise));
      const FieldResult r = test_cross_line(sets, std::nullopt);
      CAPTURE(error);
      CHECK(std::fabs(angle_of(r).value - seconds(error)) < 0.01);  // 30 m: 1.5 um
      CHECK(r.s < 1e-6);
    }
}

TEST_CASE("cross-line laser: the error lies within its stated limits 95 times in 100") {
  Noise noise;
  const std::size_t runs = repeats(10000);
  std::size_t by_scatter = 0, by_stated = 0, chance = 0;
  for (std::size_t k = 0; k < runs; ++k) {
    const double error = 1e-4 * noise.normal();
    std::vector<CrossLineSet> sets;
    const Crew crew{.error = error, .centring = 0.0005, .aim = 0.0004, .mark = 0.0005, .tape = 0.001};
    for (int i = 0; i < 5; ++i) sets.push_back(set_of(crew, noise));
    const FieldValue v = angle_of(test_cross_line(sets, std::nullopt));
    by_scatter += std::fabs(v.value - seconds(error)) <= student_quantile(0.975, 4) * *v.sd;
    // One set, judged by the tape that is stated.
    const std::vector<CrossLineSet> one{set_of({.error = error, .tape = 0.001}, noise)};
    const FieldValue w = angle_of(test_cross_line(one, Length::millimetres(1)));
    by_stated += std::fabs(w.value - seconds(error)) <= 1.959964 * *w.sd;
    const std::vector<CrossLineSet> sound{set_of({.tape = 0.001}, noise)};
    chance += test_cross_line(sound, Length::millimetres(1)).questions.front().yes;
  }
  MESSAGE("within: by scatter " << by_scatter << ", by the stated sd " << by_stated
                                << "; a sound laser passed " << chance << " of " << runs);
  if (kSanitized) return;
  // 10,000 trials at 95 % have a binomial sd of 0.22 %: three of them either way.
  for (const std::size_t n : {by_scatter, by_stated, chance}) CHECK((n >= 9430 && n <= 9570));
}
