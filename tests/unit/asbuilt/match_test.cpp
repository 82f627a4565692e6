// Pairs by mutual nearness, against a plain search of all pairs.
#include "asbuilt/match.h"

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <set>

using namespace deckmark;

namespace {

Point<Site> at(double north, double east) {
  return {{.northing = Length::metres(north), .easting = Length::metres(east)}};
}
double apart(const Point<Site>& a, const Point<Site>& b) { return distance(a, b).metres(); }

}  // namespace

TEST_CASE("a shot far from every mark is unmatched; exactly at the radius it is not") {
  const std::vector<Point<Site>> marks = {at(0, 0), at(10, 0)},
                                 shots = {at(0.15, 0), at(10.1501, 0), at(5, 0)};
  const NearestResult r = match_nearest(shots, marks, Length::metres(0.15));
  REQUIRE(r.pairs.size() == 1);
  CHECK(r.pairs[0].shot == 0);
  CHECK(r.pairs[0].mark == 0);
  CHECK(r.unmatched == std::vector<std::size_t>{1, 2});
  CHECK(r.ambiguous.empty());
}

TEST_CASE("two shots near one mark: the nearer has it, the other is told; as near as each other: neither") {
  const std::vector<Point<Site>> marks = {at(0, 0), at(100, 0)};
  const std::vector<Point<Site>> shots = {at(0.02, 0), at(0, 0.05), at(100.03, 0), at(99.97, 0)};
  const NearestResult r = match_nearest(shots, marks, Length::metres(0.15));
  REQUIRE(r.pairs.size() == 1);
  CHECK(r.pairs[0].shot == 0);
  REQUIRE(r.ambiguous.size() == 3);
  CHECK(r.ambiguous[0].shot == 1);
  CHECK(r.ambiguous[1].mark == 1);
  CHECK(r.ambiguous[2].mark == 1);
}

TEST_CASE("a shot midway between two marks belongs to neither") {
  const std::vector<Point<Site>> marks = {at(0, 0), at(0, 0.2)}, shots = {at(0, 0.1)};
  const NearestResult r = match_nearest(shots, marks, Length::metres(0.15));
  CHECK(r.pairs.empty());
  CHECK(r.ambiguous.size() == 1);
}

TEST_CASE("nothing to pair") {
  const std::vector<Point<Site>> one = {at(1, 1)}, none;
  CHECK(match_nearest(none, one, Length::metres(1)).pairs.empty());
  CHECK(match_nearest(one, none, Length::metres(1)).unmatched.size() == 1);
}

TEST_CASE("pairs agree with a search of all pairs") {
  std::mt19937 draws(1);
  std::uniform_real_distribution<double> place(0, 20), off(-0.4, 0.4);
  for (int job = 0; job < 20; ++job) {
    std::vector<Point<Site>> marks, shots;
    for (int i = 0; i < 150; ++i) {
      marks.push_back(at(500000 + place(draws), 4500000 + place(draws)));
      if (i % 7 != 0)
        shots.push_back(at(marks.back().at.northing.metres() + off(draws),
                           marks.back().at.easting.metres() + off(draws)));
    }
    const double radius = 0.45;
    const NearestResult got = match_nearest(shots, marks, Length::metres(radius));
    const auto nearest = [](const Point<Site>& p, const std::vector<Point<Site>>& others) {
      std::size_t best = 0;
      for (std::size_t i = 1; i < others.size(); ++i)
        if (apart(p, others[i]) < apart(p, others[best])) best = i;
      return best;
    };
    std::set<std::pair<std::size_t, std::size_t>> want, have;
    std::size_t unmatched = 0;
    for (std::size_t i = 0; i < shots.size(); ++i) {
      const std::size_t m = nearest(shots[i], marks);
      if (apart(shots[i], marks[m]) > radius)
        ++unmatched;
      else if (nearest(marks[m], shots) == i)
        want.emplace(i, m);
    }
    for (const AsbuiltPair& p : got.pairs) have.emplace(p.shot, p.mark);
    CHECK(have == want);
    CHECK(got.unmatched.size() == unmatched);
    CHECK(got.pairs.size() + got.ambiguous.size() + got.unmatched.size() == shots.size());
  }
}
