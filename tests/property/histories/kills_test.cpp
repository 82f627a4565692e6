// The real program, killed at random moments while it makes an issue.
#include "kills.h"

#include <doctest/doctest.h>

#include "support/noise.h"

using namespace deckmark_test;

TEST_CASE("nothing is handed out that the ledger does not hold, at whatever moment a run is killed") {
  const int kills = kSanitized ? 2 : 20;
  const KillsResult result = killed_runs(kills);
  CHECK_MESSAGE(result.wrong.empty(), result.wrong);
  CHECK(result.killed == kills);
}
