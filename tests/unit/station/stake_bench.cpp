// 10,000 marks from one setup, order included: the answer first, then the time and its parts, then how busy
// the machine was. Limit: 2 s.
#include <doctest/doctest.h>

#include <chrono>
#include <fstream>
#include <string>

#include "simulation/station_world.h"

using namespace station_test;

TEST_CASE("10,000 marks staked and put in order in under 2 s") {
  Noise noise;
  std::vector<Point<Site>> scattered, grid;
  std::vector<std::uint32_t> runs;
  for (std::size_t i = 0; i < 10000; ++i)
    scattered.push_back(at(noise.uniform(-100, 100), noise.uniform(-100, 100)));
  for (std::uint32_t r = 0; r < 100; ++r)
    for (int k = 0; k < 100; ++k) grid.push_back(at(-60 + 1.2 * r, -60 + 1.2 * k)), runs.push_back(r + 1);
  SetupResult setup;
  setup.status = SetupStatus::solved;
  setup.orientation = Angle::degrees(12);
  setup.elevation = Elevation::metres(0);
  setup.elevation_sd = mm(1);
  const InstrumentOptions options = options_of(
      {.angle = 1e-5, .distance = 0.002, .ppm = 2, .target = 0.001, .centring = 0.001, .height = 0.001});
  for (const auto* points : {&scattered, &grid}) {
    const auto now = [] { return std::chrono::steady_clock::now(); };
    const auto seconds = [](auto a, auto b) { return std::chrono::duration<double>(b - a).count(); };
    const auto t0 = now();
    double longest = 0;
    for (std::size_t i = 0; i < points->size(); ++i)
      longest = std::max(longest,
                         stake(setup, {(*points)[i], Elevation::metres(0), StakeLevel::floor}, i, {}, options)
                             .slope->metres());
    const auto t1 = now();
    const auto of_run =
        points == &grid ? std::span<const std::uint32_t>(runs) : std::span<const std::uint32_t>();
    const Walk run = walk_by_run(*points, of_run, setup.at);
    const auto t2 = now();
    const Walk walk = walk_shortest(*points, of_run, setup.at);
    const auto t3 = now();
    std::string load = "unknown";
    if (std::ifstream in("/proc/loadavg"); in) in >> load;
    MESSAGE(std::string(points == &grid ? "grid" : "scattered")
            << ": longest sight " << longest << " m, by run " << run.length.metres() << " m, walk "
            << walk.length.metres() << " m; stake " << seconds(t0, t1) << " s, by run " << seconds(t1, t2)
            << " s, walk " << seconds(t2, t3) << " s; load " << load);
    if (!kSanitized) CHECK(seconds(t0, t3) < 2);
  }
}
