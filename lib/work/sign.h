#pragma once
/// Freezing the fit of the baselines under a signature.

#include "work/run.h"

namespace deckmark {

/// What was typed with a signature.
struct SignRequest {
  std::filesystem::path file;
  std::string by, on;              ///< whose, and when: nothing is taken from a clock
  std::string accept_outside;      ///< why a job that is not READY is signed all the same; empty: it is not
  bool again = false;              ///< the fit that the job uses already, for a new revision
  std::filesystem::path out = {};  ///< where runs write, as for `run_job`: no place for a signed file
};

/// Verifies the baselines and writes the signed file; `again`: with the parameters, ties and checks of the
/// signed fit unchanged. Problems: what was typed, no ties, a job that uses a signed fit already (`again`:
/// that uses none, or whose ties have moved against it), another file of that name, a file that the job reads
/// or a run writes, a job that is NOT CHECKED without a reason. `refused` is set where the job is DO NOT LAY
/// OUT and no reason was given; then nothing is written. Of several who sign one file at once one alone
/// signs. Throws SystemFailure.
JobOutcome sign_baselines(const JobRequest& request, const SignRequest& sign, std::string_view program,
                          Messages& messages, bool& refused);

}  // namespace deckmark
