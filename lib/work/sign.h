#pragma once
/// Freezing the fit of the baselines under a signature.

#include "work/run.h"

namespace deckmark {

/// What was typed with a signature.
struct SignRequest {
  std::filesystem::path file;
  std::string by, on;          ///< whose, and when: nothing is taken from a clock
  std::string accept_outside;  ///< why baselines that are outside are taken all the same; empty: they are not
};

/// Verifies the baselines and writes the signed file. Problems: what was typed, no ties, a job that uses a
/// signed fit already, another file of that name. `refused` is set where something of the baselines is
/// outside and no reason was given; then nothing is written. Throws SystemFailure.
JobOutcome sign_baselines(const JobRequest& request, const SignRequest& sign, std::string_view program,
                          Messages& messages, bool& refused);

}  // namespace deckmark
