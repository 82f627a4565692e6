#include "adjust/hypothesis.h"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "adjust/solve.h"

using namespace deckmark;

namespace {

/// Square sum of what is left of y after fitting the first `parameters` of: constant, slope, curvature.
double left_by(const std::vector<double>& y, std::size_t parameters) {
  if (parameters == 0) {
    double sum = 0;
    for (const double v : y) sum += v * v;
    return sum;
  }
  LinearProblem p{Matrix(y.size(), parameters), y, std::vector<double>(y.size(), 1.0)};
  for (std::size_t i = 0; i < y.size(); ++i)
    for (std::size_t j = 0; j < parameters; ++j)
      p.design(i, j) = std::pow(static_cast<double>(i) / 10, static_cast<double>(j));
  return solve(p).square_sum;
}

std::vector<Finding> explain(const std::vector<double>& y) {
  const std::vector<Trial> trials{{left_by(y, 1), 1}, {left_by(y, 2), 2}, {left_by(y, 3), 3}};
  return weigh({left_by(y, 0), y.size(), 0}, trials);
}

}  // namespace

TEST_CASE("of nested explanations the simplest that suffices comes first") {
  std::mt19937 random(1);
  std::normal_distribution<double> noise(0, 1);
  int constant = 0, slope = 0;
  for (int trial = 0; trial < 200; ++trial) {
    std::vector<double> level, ramp;
    for (int i = 0; i < 40; ++i) {
      level.push_back(6 + noise(random));
      ramp.push_back(6 + 0.5 * i + noise(random));
    }
    const auto a = explain(level), b = explain(ramp);
    constant += !a.empty() && a[0].trial == 0 ? 1 : 0;
    slope += !b.empty() && b[0].trial == 1 ? 1 : 0;
  }
  // The score prefers a needless parameter when it takes over ln 40 = 3.7 of the square sum: 5.5 % of one
  // chi-square.
  CHECK(constant >= 175);
  CHECK(slope >= 175);
}

TEST_CASE("noise alone is hardly ever explained") {
  std::mt19937 random(1);
  std::normal_distribution<double> noise(0, 1);
  int named = 0;
  for (int trial = 0; trial < 2000; ++trial) {
    std::vector<double> y;
    for (int i = 0; i < 40; ++i) y.push_back(noise(random));
    named += explain(y).empty() ? 0 : 1;
  }
  // At most 0.001 a job: 2 expected, and the rms would have to fall by half as well.
  CHECK(named <= 4);
}

TEST_CASE("what was tried is counted, half the rms is asked for, freedom is needed") {
  const Misfit null{100, 12, 0};
  // F = (100 - 20) / 1 / (20 / 11) = 44: chance 4e-5.
  CHECK(weigh(null, std::vector<Trial>{{20, 1}}).size() == 1);
  HypothesisOptions many;
  many.tried = 100;  // 4e-3 after counting
  CHECK(weigh(null, std::vector<Trial>{{20, 1}}, many).empty());
  const Misfit large{1000, 400, 0};
  // Very sure, but the rms falls to 0.63 only.
  CHECK(weigh(large, std::vector<Trial>{{400, 1}}).empty());
  CHECK(weigh(large, std::vector<Trial>{{240, 1}}).size() == 1);
  CHECK(weigh({100, 3, 0}, std::vector<Trial>{{0, 3}}).empty());
  // A quantum that fits as well as a free value comes first.
  const auto found = weigh(null, std::vector<Trial>{{5.0, 1}, {5.2, 0}});
  REQUIRE(found.size() == 2);
  CHECK(found[0].trial == 1);
  // Exact data.
  CHECK(weigh(null, std::vector<Trial>{{0, 0}}).size() == 1);
}
