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

/// Moves one stated notch by more than what is let pass, and names its piece; nothing where there is none.
std::string notch_moved(MemberJob& job, std::mt19937_64& random) {
  std::vector<StatedPiece*> notched;
  for (RunGroup& group : job.world.groups)
    for (StatedRun& run : group.runs)
      for (StatedPiece& piece : run.pieces)
        if (!piece.notches.empty()) notched.push_back(&piece);
  if (notched.empty()) return {};
  StatedPiece& piece = *notched[random() % notched.size()];
  piece.notches[random() % piece.notches.size()] += std::uniform_real_distribution(0.0012, 0.009)(random);
  return piece.name;
}

/// Stated notches that lie right are told by no doubt, the moved one is.
void check_notch_doubts(const std::string& err, const std::string& moved, Findings& findings) {
  bool told = false;
  for (const std::string& line : lines_of(err)) {
    if (!says(line, "notch")) continue;
    const bool of_moved = !moved.empty() && says(line, moved);
    told = told || of_moved;
    if (!of_moved) findings.tell("a false doubt: " + line);
  }
  if (!moved.empty() && !told) findings.tell("no doubt tells that a notch of " + moved + " was moved");
}

}  // namespace

TEST_CASE("members, marks and pieces of random pairs are where brute geometry has them") {
  std::mt19937_64 random(1);
  std::vector<std::string> wrong;
  std::size_t pairs = 0, corners = 0, tees = 0, crossings = 0, cuts = 0;
  for (std::size_t j = 0; j < kJobs; ++j) {
    MemberJob job = random_member_job(kGroups, j * 5, random);
    const std::string moved = j % 3 == 0 ? notch_moved(job, random) : std::string();
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
    check_notch_doubts(result.err, moved, findings);
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
