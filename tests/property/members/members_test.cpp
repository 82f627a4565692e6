// Pairs of members through the real program, against brute geometry: lengths and places within 0.05 mm, every
// mark beside its hanger within 0.1 mm once its piece hangs. Seed 1.
#include <doctest/doctest.h>

#include "member_job.h"
#include "support/text.h"

using namespace deckmark_test;

namespace {

constexpr std::size_t kGroups = 24;  // of a job
#ifdef DECKMARK_SANITIZED
constexpr std::size_t kJobs = 5;
#else
constexpr std::size_t kJobs = 84;
#endif

}  // namespace

TEST_CASE("members, marks and pieces of random pairs are where brute geometry has them") {
  std::mt19937_64 random(1);
  std::vector<std::string> wrong;
  std::size_t pairs = 0, corners = 0, tees = 0, crossings = 0, cuts = 0;
  for (std::size_t j = 0; j < kJobs; ++j) {
    const MemberJob job = random_member_job(kGroups, j * 5, random);
    JobFolder folder;
    write_member_job(folder, job);
    const CommandResult result = folder.run({"run", ".", "--quiet"});
    Findings findings(text("job %d", static_cast<int>(j)));
    if (result.exit_code != 0) {
      findings.tell(text("status %d: ", result.exit_code) + first_line(result.err));
    } else {
      compare_members(job, output_of(folder, "members.csv", findings), findings);
      compare_crossings(job, output_of(folder, "crossings.csv", findings), findings);
      compare_marks(job, output_of(folder, "piece-marks.csv", findings),
                    output_of(folder, "points.csv", findings), findings);
    }
    wrong.insert(wrong.end(), findings.lines().begin(), findings.lines().end());
    for (const RunGroup& group : job.world.groups)
      for (const StatedRun& run : group.runs) pairs += run.is_pair();
    for (const GroupTruth& truth : job.truth) {
      cuts += truth.cuts.size();
      for (const TrueMeeting& met : truth.meetings)
        ++(met.kind == TrueMeeting::Kind::corner ? corners
           : met.kind == TrueMeeting::Kind::tee  ? tees
                                                 : crossings);
    }
  }
  tell_findings(wrong);
  MESSAGE(pairs << " pairs, " << corners << " corners, " << tees << " T's, " << crossings << " crossings, "
                << cuts << " meetings of members");
#ifndef DECKMARK_SANITIZED
  CHECK(pairs >= 2000);
  CHECK(corners >= 600);
  CHECK(tees >= 400);
  CHECK(crossings >= 400);
#endif
}
