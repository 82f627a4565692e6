#include <doctest/doctest.h>

#include <random>

#include "adjust/solve.h"

using namespace deckmark;

namespace {

/// A level line read against a staff: one height, many readings, and a slope.
LinearProblem line(std::mt19937& random, std::size_t n) {
  std::normal_distribution<double> noise(0.0, 0.002);
  LinearProblem p{Matrix(n, 2), {}, {}};
  for (std::size_t i = 0; i < n; ++i) {
    const double x = static_cast<double>(i);
    p.design(i, 0) = 1;
    p.design(i, 1) = x;
    p.observed.push_back(4 + 0.1 * x + noise(random));
    p.sds.push_back(0.002);
  }
  return p;
}

}  // namespace

TEST_CASE("one wrong observation is named with the size of its error") {
  std::mt19937 random(1);
  for (std::size_t wrong = 0; wrong < 12; ++wrong) {
    LinearProblem p = line(random, 12);
    p.observed[wrong] += 0.05;
    const auto found = find_wrong(p, 5);
    REQUIRE(found.size() == 1);
    CHECK(found[0].index == wrong);
    CHECK(found[0].alike.empty());
    // sd of the estimate is sd / sqrt(redundancy), at most 0.002 / sqrt(0.7).
    CHECK(found[0].error == doctest::Approx(0.05).epsilon(0.2));
  }
}

TEST_CASE("two wrong observations come one after the other") {
  std::mt19937 random(1);
  LinearProblem p = line(random, 12);
  p.observed[3] += 0.08;
  p.observed[7] -= 0.05;
  const auto found = find_wrong(p, 5);
  REQUIRE(found.size() == 2);
  CHECK(found[0].index == 3);
  CHECK(found[1].index == 7);
  CHECK(find_wrong(p, 1).size() == 1);
}

TEST_CASE("with one observation left over all look alike") {
  std::mt19937 random(1);
  LinearProblem p = line(random, 3);
  p.observed[1] += 0.05;
  const auto found = find_wrong(p, 5);
  REQUIRE(found.size() == 1);
  CHECK(found[0].alike.size() == 2);
}

TEST_CASE("false alarms are as rare as the limit says") {
  std::mt19937 random(1);
  int alarms = 0;
  for (int trial = 0; trial < 1000; ++trial) alarms += find_wrong(line(random, 12), 5).empty() ? 0 : 1;
  // 12 tests of 0.001 each: 12 of 1,000 expected, sd 3.4; the band is three sds.
  CHECK(alarms <= 22);
  CHECK(alarms >= 2);
}
