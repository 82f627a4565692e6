// What histories_test, refusals_test and kills_test do a few times, a thousand times; in parts, so that they
// run side by side.
#include <doctest/doctest.h>

#include <iostream>

#include "handled.h"
#include "kills.h"
#include "played.h"
#include "support/noise.h"

using namespace deckmark_test;

namespace {

constexpr std::uint32_t kParts = 8, kHistories = 1000 / kParts;
constexpr int kIssues = 20;

void play_part(std::uint32_t part) {
  Met met;
  int wrong_ones = 0;
  const auto count = static_cast<std::uint32_t>(repeats(kHistories));
  for (std::uint32_t i = 0; i < count && wrong_ones < 10; ++i) {
    // Those of the quick test come first: these are others.
    const std::uint32_t index = 1000 + part * kHistories + i;
    const std::string wrong = played(index, kIssues, met);
    CHECK_MESSAGE(wrong.empty(), "history ", index, ", ", wrong);
    if (!wrong.empty()) ++wrong_ones;
  }
  if (kSanitized) return;
  for (const std::string kind :
       {"floor moved", "floor returned", "floor renamed", "floor refit", "deck raised", "bracket lowered",
        "cut longer", "same issue", "issue without rows", "since"}) {
    CAPTURE(kind);
    CHECK(met[kind] >= 5);
  }
}

/// 200 cases of one kind, twenty to a past.
void refuse_many(const std::vector<Handling>& kind) {
  const auto count = static_cast<std::uint32_t>(repeats(200));
  constexpr std::uint32_t kOfOne = 20;
  int refused = 0;
  for (std::uint32_t first = 0; first < count; first += kOfOne) {
    const Past past(5000 + first, 5);
    REQUIRE(past.wrong == "");
    for (std::uint32_t index = first; index < std::min(count, first + kOfOne); ++index) {
      const std::string wrong = refused_case(past, index, kind);
      CHECK_MESSAGE(wrong.empty(), "case ", index, ": ", wrong);
      if (wrong.empty()) ++refused;
    }
  }
  CHECK(refused == static_cast<int>(count));
}

}  // namespace

TEST_CASE("1,000 histories of twenty issues, part 1 of 8") { play_part(0); }
TEST_CASE("1,000 histories of twenty issues, part 2 of 8") { play_part(1); }
TEST_CASE("1,000 histories of twenty issues, part 3 of 8") { play_part(2); }
TEST_CASE("1,000 histories of twenty issues, part 4 of 8") { play_part(3); }
TEST_CASE("1,000 histories of twenty issues, part 5 of 8") { play_part(4); }
TEST_CASE("1,000 histories of twenty issues, part 6 of 8") { play_part(5); }
TEST_CASE("1,000 histories of twenty issues, part 7 of 8") { play_part(6); }
TEST_CASE("1,000 histories of twenty issues, part 8 of 8") { play_part(7); }

TEST_CASE("200 restored ledgers are refused") { refuse_many(restored()); }
TEST_CASE("200 forked ledgers are refused") { refuse_many(forked()); }
TEST_CASE("200 foreign ledgers are refused") { refuse_many(foreign()); }
TEST_CASE("200 lost ledgers are refused") { refuse_many(lost()); }
TEST_CASE("200 ledgers edited by hand are refused") { refuse_many(edited()); }

TEST_CASE("of 1,000 honest histories none is refused") {
  const auto count = static_cast<std::uint32_t>(repeats(1000));
  constexpr std::uint32_t kOfOne = 50;
  for (std::uint32_t first = 0; first < count; first += kOfOne) {
    const Past past(7000 + first, 5);
    REQUIRE(past.wrong == "");
    for (std::uint32_t index = first; index < std::min(count, first + kOfOne); ++index) {
      const std::string wrong = honest_case(past, index);
      CHECK_MESSAGE(wrong.empty(), "case ", index, ": ", wrong);
    }
  }
}

TEST_CASE("killed at 1,000 random moments, nothing is handed out that the ledger does not hold") {
  const auto kills = static_cast<int>(repeats(1000));
  const KillsResult result = killed_runs(kills);
  CHECK_MESSAGE(result.wrong.empty(), result.wrong);
  CHECK(result.killed == kills);
  std::cout << result.killed << " killed: " << result.committed << " after their issue was written, "
            << result.torn << " with rows that no issue covers\n";
}
