// Random histories of twenty issues, written as files and run with the real program, against the account:
// numbers.csv, issued.csv and changes.csv to the last byte. Seed 1.
#include <doctest/doctest.h>

#include <set>

#include "played.h"
#include "random_history.h"
#include "support/noise.h"

using namespace deckmark_test;

namespace {

constexpr int kIssues = 20;

/// All that a set of histories must have met, so that none of it is held against nothing.
constexpr const char* kAll[] = {
    "floor new",         "floor moved",  "floor dropped",  "floor returned",  "floor renamed",
    "floor refit",       "deck new",     "deck gone",      "deck raised",     "deck lowered",
    "bracket new",       "bracket gone", "bracket raised", "bracket lowered", "cut new",
    "cut gone",          "cut longer",   "cut shorter",    "same issue",      "issue without rows",
    "folder of its own", "crews",        "nothing told",   "since",           "passed"};

/// Two halves, so that they run side by side.
void play(std::uint32_t half) {
  const auto count = static_cast<std::uint32_t>(kSanitized ? 1 : 15);
  Met met;
  for (std::uint32_t index = half * count; index < (half + 1) * count; ++index) {
    const std::string wrong = played(index, kIssues, met);
    CHECK_MESSAGE(wrong.empty(), "history ", index, ", ", wrong);
  }
  if (kSanitized) return;
  for (const std::string kind : kAll) {
    CAPTURE(kind);
    CHECK(met[kind] >= 1);
  }
}

}  // namespace

TEST_CASE("random histories: what is written down and told is what the account has, first half") { play(0); }
TEST_CASE("random histories: what is written down and told is what the account has, second half") { play(1); }

TEST_CASE("the account alone: a history has what it shall be held against") {
  Met met;
  for (std::uint32_t index = 0; index < 30; ++index) {
    RandomHistory history(index);
    Account account;
    account.take(handed_out(history.world()));
    for (int day = 0; day < 60 && account.issues() < kIssues; ++day) {
      const World before = history.world();
      history.change();
      if (account.is_open(handed_out(history.world()))) history.go_back_to(before);
      const bool is_new = account.take(handed_out(history.world()));
      if (is_new) {
        for (const ToldChange& c : account.changes())
          ++met[std::string(1, static_cast<char>('0' + c.what)) + c.change];
        CHECK(account.issued().back().digest.size() == 16);
      }
      // Order and layout are no issue.
      const std::string numbers = account.numbers_csv();
      history.lay_out_anew();
      CHECK(!account.take(handed_out(history.world())));
      CHECK(account.numbers_csv() == numbers);
    }
    CHECK(account.issues() == kIssues);
    std::set<std::string> live;
    for (const auto& [number, row] : account.states())
      if (row.kept.live) CHECK(live.insert(row.kept.point).second);
    CHECK(live.size() == handed_out(history.world()).points.size());
  }
  for (const std::string kind :
       {"0new", "0moved", "0dropped", "0returned", "0renamed", "0refit", "1new", "1gone", "1raised",
        "1lowered", "2new", "2gone", "2raised", "2lowered", "3new", "3gone", "3longer", "3shorter"}) {
    CAPTURE(kind);
    CHECK(met[kind] >= 5);
  }
}
