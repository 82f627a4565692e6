// How far stated sds hold: of 10,000 heights, each from a standing and a benchmark of its own, 95 % lie
// within 1.96 of their stated sd from the truth; the band is that of the binomial. Truth to readings by the
// model of the job: every sight has its own slope of the beam. Seed 1.
#include <doctest/doctest.h>

#include <cmath>

#include "compare_heights.h"
#include "random_staff.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

constexpr std::size_t kJobs = 50, kHeights = 200;
constexpr double kLow = 94.3, kHigh = 95.7;  // % of 10,000

/// Ways in which one height comes from one standing, by turns.
enum class Way { staff, beam, both_housings, two_benchmarks };
constexpr std::size_t kWays = 4;

/// A benchmark near the floor, with an sd every second time; the crew's figure is off by that.
std::size_t benchmark(StaffJob& job, std::size_t i, const char* form, Noise& noise) {
  const double truth = noise.uniform(0, 1);
  const bool observed = i % 3 != 0;
  const double sd = observed ? 0.001 : 0;
  const std::size_t t = job.add_benchmark(text(form, static_cast<int>(i)), truth + sd * noise.normal(),
                                          observed ? std::optional(sd) : std::nullopt);
  // A fixed benchmark is true as it stands in the table, which rounds it.
  if (observed) job.targets[t].elevation = truth;
  return t;
}

void shoot(StaffJob& job, std::size_t target, double beam, bool both, Noise& noise) {
  const double distance = std::round(noise.uniform(5, 25)), slope = job.beam_sd * noise.normal();
  const bool above = job.targets[target].elevation > beam;
  const std::size_t standing = job.lasers.size() - 1;
  const auto read = [&](double sign, const char* housing) {
    job.add_laser(standing, target, above,
                  (above ? -1 : 1) * laser_reading(job, target, beam, distance, sign * slope, noise),
                  distance, housing);
  };
  read(1, both ? "0" : "");
  if (both) read(-1, "180");
}

void add_height(StaffJob& job, std::size_t i, Noise& noise) {
  const Way way = static_cast<Way>(i % kWays);
  const std::size_t from = benchmark(job, i, "BM%d", noise),
                    to = job.add_free(text("F%d", static_cast<int>(i)), noise.uniform(2.5, 3));
  if (way == Way::staff) {
    job.setups.push_back(text("S%d", static_cast<int>(i)));
    const double height = noise.uniform(1.3, 1.6);
    job.add_level(job.setups.size() - 1, from, true, level_reading(job, from, height, noise));
    job.add_level(job.setups.size() - 1, to, false, level_reading(job, to, height, noise));
    return;
  }
  job.lasers.push_back(text("L%d", static_cast<int>(i)));
  const double beam = noise.uniform(1.2, 1.6);
  shoot(job, from, beam, way == Way::both_housings, noise);
  if (way == Way::two_benchmarks) shoot(job, benchmark(job, i, "C%d", noise), beam, false, noise);
  shoot(job, to, beam, way == Way::both_housings, noise);
}

}  // namespace

TEST_CASE("stated sds of heights hold for 95 of 100") {
  Noise noise;
  std::vector<std::string> wrong;
  std::size_t within[kWays] = {}, all[kWays] = {};
  const std::size_t jobs = std::max<std::size_t>(repeats(kJobs), 1);
  for (std::size_t j = 0; j < jobs; ++j) {
    StaffJob job;
    job.floor = stated(0, job.unit);
    job.points = {{"P1", 0, 0}};
    job.beam_sd = 0.003 / 10 / 2, job.beam_key = "beam = \"3 mm at 10 m\"";
    for (std::size_t i = 0; i < kHeights; ++i) add_height(job, i, noise);
    Findings findings(text("job %d", static_cast<int>(j)));
    JobFolder folder;
    write_staff_job(folder, job);
    const CommandResult ran = folder.run();
    if (ran.exit_code > 1) findings.tell(ran.err);
    std::map<std::string, std::map<std::string, std::string>> rows;
    for (const auto& row : named_rows(output_of(folder, "heights.csv", findings)))
      rows[row.at("point")] = row;
    for (const StaffTarget& t : job.targets) {
      if (t.point[0] != 'F') continue;
      const auto& row = rows[t.point];
      const std::size_t way = std::stoul(t.point.substr(1)) % kWays;
      const double off = cell_metres(row, "elevation", 1, findings) - t.elevation;
      ++all[way], within[way] += std::abs(off) <= 1.96 * cell_metres(row, "sd", 1, findings);
    }
    wrong.insert(wrong.end(), findings.lines().begin(), findings.lines().end());
  }
  tell_findings(wrong);
  double sum = 0, count = 0;
  for (std::size_t w = 0; w < kWays; ++w) {
    const double share = 100 * static_cast<double>(within[w]) / static_cast<double>(all[w]);
    MESSAGE("way " << w << ": " << share << " % of " << all[w]);
    sum += static_cast<double>(within[w]), count += static_cast<double>(all[w]);
    // Of 2,500 the sd is 0.44 %: four of them.
    if (!kSanitized) CHECK(std::abs(share - 95) < 1.8);
  }
  MESSAGE("all: " << 100 * sum / count << " % of " << count);
  if (!kSanitized) {
    CHECK(count == 10000);
    CHECK(100 * sum / count >= kLow);
    CHECK(100 * sum / count <= kHigh);
  }
}
