#include "baseline/wrong_ties.h"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "simulation/tie_jobs.h"
#include "support/noise.h"
#include "ties.h"

using namespace deckmark_test;

namespace {

double redundancy_of(const std::vector<Tie>& set, std::size_t tie, TieAxis axis) {
  const auto clean = fit_baselines(set, {}, {});
  for (const TieRow& row : clean.rows)
    if (row.tie == tie && row.axis == axis) return row.redundancy;
  return 0;
}

}  // namespace

TEST_CASE("one wrong tie among eight is named first, a set without fault accuses none") {
  std::mt19937 random(1);
  std::uniform_int_distribution<std::size_t> which(0, 7);
  int tried = 0, named = 0, close = 0;
  for (int trial = 0; trial < 2000 / kShare; ++trial) {
    auto set = random_tie_job(random, 8, 30, 20, 0.0015, false).ties;
    const std::size_t wrong = which(random);
    const TieAxis axis = trial % 2 == 0 ? TieAxis::x : TieAxis::y;
    if (redundancy_of(set, wrong, axis) <= 0.3) continue;
    auto& stated = axis == TieAxis::x ? set[wrong].x : set[wrong].y;
    stated = *stated + mm(trial % 4 < 2 ? 15 : -15);
    const auto found = find_wrong_ties(set, {});
    ++tried;
    if (found.wrong.empty() || found.wrong[0].tie != wrong || found.wrong[0].axis != axis) continue;
    ++named;
    const Length off = found.wrong[0].error - mm(trial % 4 < 2 ? 15 : -15);
    close += abs(off) <= 3 * found.wrong[0].sd ? 1 : 0;
  }
  CHECK(tried > 1900 / kShare);
  CHECK(named >= 0.97 * tried);
  CHECK(close >= 0.99 * named);

  int accused = 0;
  for (int trial = 0; trial < 2000 / kShare; ++trial)
    accused +=
        find_wrong_ties(random_tie_job(random, 8, 30, 20, 0.0015, false).ties, {}).wrong.empty() ? 0 : 1;
  CHECK(accused <= 20);
}

TEST_CASE("two wrong ties are found one after the other, and held fits find theirs") {
  std::mt19937 random(1);
  for (const Hold hold : {Hold::both, Hold::x, Hold::y}) {
    auto set = random_tie_job(random, 10, 40, 30, 0.0015, false).ties;
    set[2].x = *set[2].x + mm(60);
    set[6].y = *set[6].y - mm(40);
    BaselineOptions options;
    options.hold = hold;
    const auto found = find_wrong_ties(set, options);
    REQUIRE(found.wrong.size() == 2);
    CHECK(found.wrong[0].tie == 2);
    CHECK(found.wrong[0].axis == TieAxis::x);
    CHECK(found.wrong[1].tie == 6);
    CHECK(found.wrong[1].axis == TieAxis::y);
  }
}

TEST_CASE("two ties 20 mm too far apart: nobody can say which") {
  const auto found = find_wrong_ties(ties({{0, 0, 5000, 2000}, {100, 0, 5080.016, 2060.012}}), {});
  REQUIRE(found.wrong.size() == 1);
  REQUIRE(found.wrong[0].alike.size() == 1);
  CHECK(found.wrong[0].alike[0].second == TieAxis::x);
}

TEST_CASE("fit-08 without the point that is a foot off the rest fits") {
  const auto left = leave_out_each(
      ties({{0, 0, 1000, 5000}, {100, 0, 1100, 5000}, {100, 100, 1100.3048, 5100}, {0, 100, 1000, 5100}}),
      kFree);
  REQUIRE(left.size() == 4);
  for (std::size_t i = 0; i < 4; ++i) {
    CHECK(left[i].solved);
    if (i == 2)
      CHECK(left[i].largest_residual < mm(1e-6));
    else
      CHECK(left[i].largest_residual > mm(30));
  }
}
