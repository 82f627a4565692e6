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
  if (kSanitized) return;
  // what a revision moved and is left all the same; what it did not touch is as good as it was read
  CHECK(met.left_within.all >= 300);
  CHECK(met.left_within.falsely * 100 <= met.left_within.all);
  CHECK(met.left_unchanged[1000].falsely * 100 <= met.left_unchanged[1000].all);
  CHECK(met.refused * 5 <= met.jobs);
}
