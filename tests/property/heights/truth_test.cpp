// The judge itself, on figures worked by hand and on published ones.
#include <doctest/doctest.h>

#include <cmath>

#include "compare_heights.h"
#include "random_staff.h"
#include "support/text.h"
#include "support/vector_file.h"

using namespace deckmark_test;

TEST_CASE("a line of equal set-ups shares its closure equally, and is least sure in its middle") {
  const StaffJob job = line_job(5, 0.004);
  const HeightsTruth truth = heights_truth(job);
  REQUIRE(truth.tied);
  REQUIRE(truth.closures.size() == 1);
  CHECK(truth.closures[0].off == doctest::Approx(0.004));
  CHECK(truth.closures[0].limit == doctest::Approx(0.003 * std::sqrt(5.0 / 4)));
  CHECK(truth.is_outside());
  for (int k = 1; k < 5; ++k) {
    CAPTURE(k);
    const TrueHeight& h = truth.heights[static_cast<std::size_t>(k) + 1];
    CHECK(h.elevation == doctest::Approx(10 + 0.1 * k - 0.004 * k / 5).epsilon(1e-12));
    CHECK(h.sd == doctest::Approx(0.001 * std::sqrt(2.0 * k * (5 - k) / 5)));
  }
  CHECK(truth.heights[0].sd == 0);
}

TEST_CASE("limits of lines: 3 mm to four set-ups, then by their length, or by their set-ups") {
  struct Line {
    std::size_t setups;
    double distance, limit;  // m; distance 0: not stated
  };
  for (const Line& row : {Line{1, 0, 0.003}, Line{4, 50, 0.003}, Line{5, 10, 0.012 * std::sqrt(0.1)},
                          Line{5, 5, 0.003}, Line{16, 0, 0.006}}) {
    CAPTURE(row.setups);
    StaffJob job = line_job(row.setups, 0, row.distance > 0 ? std::optional(row.distance) : std::nullopt);
    CHECK(closure_of(job, job.lines[0]).limit == doctest::Approx(row.limit));
    job.loop_limit = 0.001;
    CHECK(closure_of(job, job.lines[0]).limit == 0.001);
  }
}

TEST_CASE("a laser's plane: above and below the beam, two housings, two benchmarks") {
  StaffJob job;
  job.floor = stated(0, job.unit);
  job.beam_sd = 0.00015;
  const std::size_t low = job.add_benchmark("BM1", 10), high = job.add_benchmark("BM2", 12),
                    soffit = job.add_free("S", 0), nail = job.add_free("N", 0);
  job.lasers = {"L1", "L2"};
  job.add_laser(0, low, false, 1.2, 10);
  job.add_laser(0, soffit, true, 2.1, 20);
  job.add_laser(0, nail, false, 0.303, 30, "0");
  job.add_laser(0, nail, false, 0.297, 30, "180");
  job.add_laser(1, low, false, 1.1, 5);
  job.add_laser(1, high, true, 0.8955, 5);
  const HeightsTruth truth = heights_truth(job);
  REQUIRE(truth.tied);
  CHECK(truth.heights[soffit].elevation == doctest::Approx(10 + 1.2 + 2.1));
  CHECK(truth.heights[soffit].sd ==
        doctest::Approx(std::sqrt(2e-6 + std::pow(0.0015, 2) + std::pow(0.003, 2))));
  CHECK(truth.heights[nail].elevation == doctest::Approx(10 + 1.2 - 0.3));
  CHECK(truth.heights[nail].sd == doctest::Approx(std::sqrt(1.5e-6 + std::pow(0.0015, 2))));
  REQUIRE(truth.closures.size() == 1);
  CHECK(truth.closures[0].off == doctest::Approx(0.0045));
  CHECK(truth.closures[0].limit == doctest::Approx(2.5 * std::sqrt(2 * (1e-6 + std::pow(0.00075, 2)))));
  CHECK(truth.closures[0].is_outside());
  CHECK(truth.heights[low].from == std::vector<std::string>{"L1", "L2"});
}

TEST_CASE("a benchmark with an sd gives way, one without does not") {
  StaffJob job;
  job.floor = stated(0, job.unit);
  const std::size_t a = job.add_benchmark("A", 10), b = job.add_benchmark("B", 11, 0.001);
  job.setups = {"S1"};
  job.add_level(0, a, true, 1.5);
  job.add_level(0, b, false, 0.503);
  const HeightsTruth truth = heights_truth(job);
  // The levelled height of B is 10.997, of variance 2; the stated one 11, of variance 1.
  CHECK(truth.heights[b].elevation == doctest::Approx(10.999).epsilon(1e-9));
  CHECK(truth.heights[b].sd == doctest::Approx(0.001 * std::sqrt(2.0 / 3)));
  CHECK(truth.heights[a].sd == 0);
  CHECK(truth.worst == doctest::Approx(std::sqrt(3.0)));
}

TEST_CASE("what no benchmark reaches leaves the equations open") {
  StaffJob job = line_job(2, 0);
  job.lasers = {"L1"};
  job.add_laser(0, job.add_free("alone", 0), false, 1, 10);
  CHECK(!heights_truth(job).tied);
}

TEST_CASE("the limit of a standardised residual, by the published quantiles of 1 and 0.1 in a thousand") {
  CHECK(residual_limit(0) == 3.29);
  CHECK(residual_limit(10) == 3.29);  // 0.99^(1/10) is 0.998996: just under it
  CHECK(residual_limit(100) == doctest::Approx(3.8906).epsilon(5e-4));  // 0.99990: 3.8906
}

TEST_CASE("feet and inches as a crew keys them are that many metres") {
  CHECK(stated(0.1, kFeetInches).cell == "\"3.937\"\"\"");
  CHECK(stated(-1, kFeetInches).cell == "\"-3'-3.370\"\"\"");
  CHECK(stated(-1, kFeetInches).metres == doctest::Approx(-1).epsilon(1e-5));
  CHECK(stated(1, kFeet).cell == "3.2808");
  CHECK(stated(1, kFeet).metres == 3.2808 * 0.3048);
}

TEST_CASE("lengths in a text are found with their units") {
  CHECK(prints_length("BM1 to BM2 closes by -2.3 mm (limit 3 mm)", 0.00231));
  CHECK(prints_length("closes by 0.0023 m", -0.00232));
  CHECK(!prints_length("closes by 2.3 mm", 0.0024));
  CHECK(!prints_length("23 set-ups, S2.3, 2.3 times", 0.0023));
}

TEST_CASE("random jobs hang on their benchmarks and have what they promise") {
  Noise noise;
  std::size_t closed = 0, long_lines = 0, upside_down = 0, pairs = 0, observed = 0;
  for (std::size_t j = 0; j < 300; ++j) {
    const StaffJob job = random_staff_job(noise);
    REQUIRE(heights_truth(job).tied);
    for (const LevelLine& line : job.lines) closed += line.closed, long_lines += line.steps.size() > 4;
    for (const StaffReading& r : job.level) upside_down += r.reading.metres < 0;
    for (const StaffReading& r : job.laser) pairs += r.housing == "0";
    for (const StaffBenchmark& b : job.benchmarks) observed += b.sd.has_value();
  }
  CHECK(closed > 100);
  CHECK(long_lines > 20);
  CHECK(upside_down > 100);
  CHECK(pairs > 100);
  CHECK(observed > 50);
}
