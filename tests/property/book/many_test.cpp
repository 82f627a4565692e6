// The same at a thousand random books; the others are in today_test.cpp. Seed 1.
#include <doctest/doctest.h>

#include "play_today.h"
#include "support/noise.h"

using namespace deckmark_test;

TEST_CASE("today of a thousand random books after random revisions") {
  TodayMet met;
  std::vector<std::string> wrong;
  for (std::uint32_t j = 0; j < repeats(1000); ++j) {
    const std::vector<std::string> lines = played_today(1000 + j, met);
    wrong.insert(wrong.end(), lines.begin(), lines.end());
  }
  MESSAGE(met.told());
  tell_findings(wrong);
  CHECK(met.unclear * 10 <= met.jobs);
  CHECK(met.refused * 5 <= met.jobs);
}
