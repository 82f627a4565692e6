// Random lines of a level and standings of a laser through the real program, against full normal equations
// and the sums of the lines: heights and sds to the digits that are written, the status by closures and
// standardised residuals. Where a hair decides the status, or whether a reading with a redundancy under 0.1
// or a benchmark counts for it, either is let pass, and counted. Seed 1.
#include <doctest/doctest.h>

#include <algorithm>

#include "compare_heights.h"
#include "random_staff.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

constexpr std::size_t kJobs = 1000;
constexpr std::size_t kUnclearMost = 100;  // of a thousand

/// The text names what closes and prints by how much, to its last digit. Where a length may be feet and
/// inches this cannot be read.
void check_text(const JobFolder& folder, const StaffJob& job, const HeightsTruth& truth, int status,
                Findings& findings) {
  const CommandResult looked = folder.run({"heights", "."});
  if (looked.exit_code != status)
    findings.tell(text("heights ends with %d, run with %d", looked.exit_code, status));
  for (const LevelLine& line : job.lines)
    for (const std::size_t row : {line.steps.front().back, line.steps.back().fore})
      if (line.closed && !says(looked.out, job.targets[job.level[row].target].point))
        findings.tell("heights does not name " + job.targets[job.level[row].target].point);
  for (const std::string& laser : job.lasers)
    if (!says(looked.out, laser)) findings.tell("heights does not name standing " + laser);
  for (const TrueClosure& c : truth.closures)
    for (const double shown : {c.off, c.limit})
      if (job.unit.decimals == 5 && !prints_length(looked.out, shown))
        findings.tell(text("heights does not print %.2f mm of %s: it closes by %.2f mm, its limit is %.2f mm",
                           shown * 1000, c.what.c_str(), c.off * 1000, c.limit * 1000));
}

void check_status(const HeightsTruth& truth, const CommandResult& ran, Findings& findings) {
  if (truth.unclear && ran.exit_code <= 1) return;
  const int want = truth.is_outside() ? 1 : 0;
  double worst = 0;
  for (const TrueClosure& c : truth.closures) worst = std::max(worst, std::abs(c.off) / c.limit);
  if (ran.exit_code != want)
    findings.tell(text("status %d, expected %d; worst closure %.3f of its limit, worst residual %.3f sd\n",
                       ran.exit_code, want, worst, static_cast<double>(truth.worst)) +
                  ran.err);
}

}  // namespace

TEST_CASE("heights and sds of random lines and planes, and whether they close") {
  Noise noise;
  std::vector<std::string> wrong;
  std::size_t outside = 0, unclear = 0, closures = 0, targets = 0, pairs = 0;
  const std::size_t jobs = repeats(kJobs);
  for (std::size_t j = 0; j < jobs; ++j) {
    const StaffJob job = random_staff_job(noise);
    const HeightsTruth truth = heights_truth(job);
    REQUIRE(truth.tied);
    Findings findings(text("job %d", static_cast<int>(j)));
    JobFolder folder;
    write_staff_job(folder, job);
    const CommandResult ran = folder.run();
    check_status(truth, ran, findings);
    if (ran.exit_code <= 1) {
      compare_heights(job, truth, output_of(folder, "heights.csv", findings), findings);
      if (j % 4 == 0) check_text(folder, job, truth, ran.exit_code, findings);
    }
    outside += truth.is_outside(), unclear += truth.unclear, closures += truth.closures.size();
    targets += truth.order.size();
    for (const StaffReading& r : job.laser) pairs += r.housing == "0";
    wrong.insert(wrong.end(), findings.lines().begin(), findings.lines().end());
  }
  MESSAGE(jobs << " jobs, " << targets << " heights, " << closures << " closures, " << outside << " outside, "
               << unclear << " unclear, " << pairs << " pairs of housings");
  tell_findings(wrong);
  CHECK(unclear <= kUnclearMost * jobs / kJobs);
  CHECK(outside >= jobs / 10);
  CHECK(outside <= jobs * 9 / 10);
}
