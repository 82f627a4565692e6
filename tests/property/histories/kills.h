#pragma once
/// SIGKILL at random moments of a run that makes an issue.

#include <string>

namespace deckmark_test {

struct KillsResult {
  int killed = 0;     ///< met at work
  int torn = 0;       ///< left rows that no issue covers
  int committed = 0;  ///< had written their issue
  std::string wrong;  ///< the first thing that is, with the round
};

/// Goes on until so many runs have been killed at work; at most twenty times as many rounds.
KillsResult killed_runs(int kills);

}  // namespace deckmark_test
