#include "baseline/wrong_ties.h"

#include <doctest/doctest.h>

#include <algorithm>
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

namespace {

/// Where a found place lies in the true drawing, by the floor's own unit vectors.
Point<Drawing> truth_of(const Floor& f, const Point<Site>& at) {
  const double n = at.at.northing.metres() - f.origin_northing, e = at.at.easting.metres() - f.origin_easting;
  return {{.x = m(n * f.x_northing + e * f.x_easting), .y = m(n * f.y_northing + e * f.y_easting)}};
}

/// Slips of a hand in one tie: northing and easting or x and y exchanged, a digit, a sign, feet for metres,
/// half a metre.
void slip(Tie& t, int kind) {
  switch (kind) {
    case 0:
      std::swap(t.at.at.northing, t.at.at.easting);
      break;
    case 1:
      std::swap(t.x, t.y);
      break;
    case 2:
      t.at.at.northing = t.at.at.northing + m(45);
      break;
    case 3:
      t.x = -*t.x;
      break;
    case 4:
      t.x = *t.x / 0.3048, t.y = *t.y / 0.3048;
      break;
    default:
      t.at.at.easting = t.at.at.easting - m(0.45);
  }
}

}  // namespace

TEST_CASE("a gross slip in one tie accuses that tie alone, by as much as it is off") {
  std::mt19937 random(1);
  int tried = 0, named = 0, close = 0, rows = 0;
  for (int trial = 0; trial < 1200 / kShare; ++trial) {
    const int kind = trial % 6;
    TieJob job = random_tie_job(random, 5 + static_cast<std::size_t>(trial % 4), 30, 20, 0.0015, false);
    job.floor.origin_northing = 4210, job.floor.origin_easting = 1875;
    // The same floor near the origin of its site, as local sites are.
    const Floor& f = job.floor;
    std::normal_distribution<double> error(0, 0.0015);
    for (Tie& t : job.ties) {
      t.at = f.at(t.x->metres(), t.y->metres());
      t.at.at.northing = t.at.at.northing + m(error(random));
      t.at.at.easting = t.at.at.easting + m(error(random));
    }
    const std::size_t wrong = static_cast<std::size_t>(trial) % job.ties.size();
    slip(job.ties[wrong], kind);
    const Tie& t = job.ties[wrong];
    const Point<Drawing> there = truth_of(f, t.at);
    if (hypot(*t.x - there.at.x, *t.y - there.at.y) < mm(100)) continue;  // no slip: x and y nearly alike
    if (fit_baselines(job.ties, {}, {}).status != FitStatus::solved) continue;  // refused, and told so
    CAPTURE(kind);
    ++tried;
    const auto found = find_wrong_ties(job.ties, {}).wrong;
    const bool alone = !found.empty() && std::all_of(found.begin(), found.end(),
                                                     [&](const WrongTie& w) { return w.tie == wrong; });
    if (!alone) continue;
    ++named;
    for (const WrongTie& w : found) {
      ++rows;
      const Length truth = w.axis == TieAxis::x ? *t.x - there.at.x : *t.y - there.at.y;
      close += abs(w.error - truth) <= 3.5 * w.sd ? 1 : 0;
    }
  }
  MESSAGE("named " << named << " of " << tried << ", within 3.5 sd " << close << " of " << rows);
  CHECK(tried > 500 / kShare);
  CHECK(named >= 0.99 * tried);
  CHECK(close >= 0.99 * rows);
}

TEST_CASE("a tie that is off in both coordinates accuses no sound one, of four ties too") {
  // Four corners of 9 m by 6 m; the last was keyed 100 mm too far east: by hand 100 mm along x, none along y.
  const auto found =
      find_wrong_ties(ties({{0, 0, 0, 0}, {9, 0, 9, 0}, {0, 6, 0, 6}, {9, 6, 9.1, 6.001}}), {}).wrong;
  REQUIRE(found.size() == 1);
  CHECK(found[0].tie == 3);
  CHECK(found[0].axis == TieAxis::x);
  CHECK(found[0].error.millimetres() == doctest::Approx(-100).epsilon(0.02));
  // The same tie off along both axes, which single coordinates of two sound ties would explain as well.
  const auto both =
      find_wrong_ties(ties({{0, 0, 0, 0}, {9, 0, 9, 0}, {0, 6, 0, 6}, {9, 6, 9.060, 6.080}}), {}).wrong;
  REQUIRE(both.size() == 2);
  for (const WrongTie& w : both) {
    CHECK(w.tie == 3);
    CHECK(w.error.millimetres() == doctest::Approx(w.axis == TieAxis::x ? -60 : -80).epsilon(0.02));
    CHECK(w.alike.empty());
  }
}

TEST_CASE("where ties cannot be fitted, the one in the way is named; where two would do, none is") {
  auto set = ties({{0, 0, 1000, 5000},
                   {30, 0, 1030, 5000},
                   {30, 20, 1030, 5020},
                   {0, 20, 1000, 5020},
                   {10, 20, 1010, 5020}});
  CHECK(tie_in_the_way(set, {}).empty());  // nobody is
  std::swap(set[1].at.at.northing, set[1].at.at.easting);
  const auto wrong = tie_in_the_way(set, {});
  REQUIRE(wrong.size() == 2);
  for (const WrongTie& w : wrong) {
    CHECK(w.tie == 1);
    // Found at N 1030 E 5000 where N = 5000 + y, E = 1000 + x: x 4000, y -3970.
    CHECK(w.error.metres() == doctest::Approx(w.axis == TieAxis::x ? 30 - 4000 : 3970).epsilon(1e-3));
  }
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
