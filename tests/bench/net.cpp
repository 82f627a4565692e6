// 40 setups of 20 sights each, 500 points: the net alone, covariances and redundancies included, and what is
// asked of them later. The answer before the times.
#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <vector>

#include "simulation/net_world.h"

using namespace net_test;

namespace {

double since(std::chrono::steady_clock::time_point begin) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

NetWorld hall(Noise& noise) {
  constexpr std::size_t kSetups = 40, kPoints = 500, kSights = 20, kControl = 12;
  NetWorld world(noise, ordinary_gear());
  for (std::size_t i = 0; i < kControl; ++i) {
    const double way = 2 * std::numbers::pi * static_cast<double>(i) / kControl;
    world.add_control({60 * std::cos(way), 40 * std::sin(way), 100}, 0.001);
  }
  for (std::size_t i = 0; i < kPoints; ++i)
    world.add_point({noise.uniform(-55, 55), noise.uniform(-35, 35), 100 + noise.uniform(0, 4)});
  std::size_t next = 0;
  for (std::size_t s = 0; s < kSetups; ++s) {
    world.stand_at({noise.uniform(-40, 40), noise.uniform(-25, 25), 100});
    for (std::size_t k = 0; k < kSights; ++k)
      world.sight(s, k < 4 ? (s + 3 * k) % kControl : kControl + next++ % kPoints);
  }
  return world;
}

}  // namespace

TEST_CASE("a net of 40 setups and 500 points") {
  Noise noise;
  NetWorld world = hall(noise);
  double best = 1e9;
  NetResult got;
  for (int k = 0; k < 5; ++k) {
    const auto begin = std::chrono::steady_clock::now();
    got = world.adjust();
    best = std::min(best, since(begin));
  }
  std::size_t solved = 0, placed = 0;
  for (const SetupResult& s : got.setups)
    if (s.status == SetupStatus::solved) ++solved;
  for (std::size_t p = 0; p < world.points(); ++p)
    if (got.points[p]) ++placed;
  const double factor = got.setups.front().variance_factor.value_or(0);
  MESSAGE(solved << " setups, " << placed << " points, variance factor " << factor);

  // What marks, ties and stakes ask later: the joint covariance of 5,000 forms of a few parts, a hundred at a
  // time.
  const auto begin = std::chrono::steady_clock::now();
  double sum = 0;
  for (std::size_t k = 0; k < 50; ++k) {
    std::vector<NetForm> forms;
    for (std::size_t i = 0; i < 100; ++i)
      forms.push_back({{NetPart::Of::point, 12 + (7 * (100 * k + i)) % 500, 0, 1.0},
                       {NetPart::Of::setup, (k + i) % 40, 2, 0.5}});
    const Matrix c = got.covariance.of(forms);
    for (std::size_t i = 0; i < c.rows; ++i) sum += c(i, i);
  }
  const double asked = since(begin);
  MESSAGE("the net " << 1000 * best << " ms, readings reduced too; 50 joint covariances of 100 forms "
                     << 1000 * asked << " ms");
  CHECK(solved == 40);
  CHECK(placed == world.points());
  CHECK(sum > 0);
  CHECK(best < 0.1);
}
