// What lies near against a look at every pair, where points lie loose, dense, on cell edges and on one
// another.
#include "marks/near_pairs.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>
#include <set>
#include <tuple>
#include <utility>

using namespace deckmark;

namespace {

Point<Drawing> at(double x, double y) { return {{.x = Length::metres(x), .y = Length::metres(y)}}; }

constexpr Length kLimit = Length::millimetres(25);

/// Later points of near pairs, by looking at all.
std::set<std::uint32_t> by_all_pairs(const std::vector<Point<Drawing>>& points) {
  std::set<std::uint32_t> out;
  for (std::uint32_t i = 0; i < points.size(); ++i)
    for (std::uint32_t j = 0; j < i; ++j)
      if (std::hypot(points[i].at.x.metres() - points[j].at.x.metres(),
                     points[i].at.y.metres() - points[j].at.y.metres()) < 0.025 - 1e-9)
        out.insert(i);
  return out;
}

}  // namespace

TEST_CASE("the points that lie near an earlier one are those that a look at every pair finds") {
  std::mt19937 random(1);
  for (const double extent : {0.02, 0.3, 3.0, 40.0, 5000.0}) {
    CAPTURE(extent);
    std::uniform_real_distribution<double> place(-extent / 2, extent);
    std::vector<Point<Drawing>> points;
    for (int i = 0; i < 1500; ++i)
      points.push_back(i % 7 == 0 && i > 0 ? at(points.back().at.x.metres() + 0.024 * std::cos(i),
                                                points.back().at.y.metres() + 0.024 * std::sin(i))
                                           : at(place(random), place(random)));
    const std::vector<NearPair> found = near_pairs(points, kLimit);
    std::set<std::uint32_t> later;
    for (const NearPair& p : found) {
      REQUIRE(p.first < p.later);
      CHECK(distance(points[p.first], points[p.later]) < kLimit);
      CHECK((later.empty() || *later.rbegin() < p.later));
      later.insert(p.later);
    }
    CHECK(later == by_all_pairs(points));
    CHECK_FALSE(later.empty());
  }
}

TEST_CASE("exactly at the limit is not near, and the origin's cells are like any others") {
  struct Row {
    double x, y;
    bool near;
  };
  for (const Row& r :
       {Row{0.025, 0, false}, Row{0.0249, 0, true}, Row{-0.0249, 0, true}, Row{0, -0.0249, true},
        Row{-0.017, -0.017, true}, Row{-0.018, -0.018, false}, Row{0, 0, true}})
    for (const double shift : {0.0, 0.05, -0.05, 0.025, 1e6}) {
      CAPTURE(r.x);
      CAPTURE(r.y);
      CAPTURE(shift);
      const bool far_out = shift > 1e5 && r.x == 0.025;  // doubles there are coarser than the hair
      if (far_out) continue;
      CHECK(near_pairs(std::vector{at(shift, shift), at(shift + r.x, shift + r.y)}, kLimit).size() ==
            (r.near ? 1U : 0U));
    }
  CHECK(near_pairs({}, kLimit).empty());
}

TEST_CASE("a crowd on one place takes no longer than a floor") {
  std::vector<Point<Drawing>> crowd(200000, at(3, 4));
  crowd.push_back(at(3.1, 4));
  CHECK(near_pairs(crowd, kLimit).size() == 199999);
  // Two crowds side by side, neither near the other: 26 mm apart across the edge of two cells.
  std::vector<Point<Drawing>> two;
  for (int i = 0; i < 200000; ++i) two.push_back(at(i % 2 ? 0.063 : 0.037, 1.01));
  CHECK(near_pairs(two, kLimit).size() == 199998);
}

TEST_CASE("pairs of two sets are those that a look at every pair finds, nearest first, then in their order") {
  std::mt19937 random(1);
  for (const double extent : {0.0, 0.03, 0.5, 4.0})
    for (const double origin : {0.0, -7.3, 5e6}) {
      CAPTURE(extent);
      CAPTURE(origin);
      // Whole steps of half the limit: many are as far apart as others, and many exactly at the limit.
      std::uniform_int_distribution<int> step(0, static_cast<int>(extent / 0.0125));
      const auto drawn = [&](int count) {
        std::vector<Point<Drawing>> out;
        for (int i = 0; i < count; ++i)
          out.push_back(at(origin + step(random) * 0.0125, origin + step(random) * 0.0125));
        return out;
      };
      const std::vector<Point<Drawing>> of = drawn(200), among = drawn(300);
      std::vector<std::tuple<Length, std::uint32_t, std::uint32_t>> want;
      for (std::uint32_t i = 0; i < of.size(); ++i)
        for (std::uint32_t j = 0; j < among.size(); ++j)
          if (const Length d = distance(of[i], among[j]); d <= kLimit) want.emplace_back(d, i, j);
      std::sort(want.begin(), want.end());
      std::vector<std::pair<std::uint32_t, std::uint32_t>> have, right;
      for (const auto& [d, i, j] : want) right.emplace_back(i, j);
      for (const PairWithin& p : pairs_within(of, among, kLimit)) have.emplace_back(p.of, p.among);
      CHECK(have == right);
      CHECK_FALSE(have.empty());
    }
  CHECK(pairs_within({}, std::vector{at(0, 0)}, kLimit).empty());
  CHECK(pairs_within(std::vector{at(0, 0)}, {}, kLimit).empty());
}

TEST_CASE("the nearest of a set and whether another is as near, as a look at all finds them") {
  const auto site = [](double north, double east) -> Point<Site> {
    return {{.northing = Length::metres(north), .easting = Length::metres(east)}};
  };
  std::mt19937 random(1);
  std::uniform_int_distribution<int> step(0, 40);
  std::vector<Point<Site>> of, among;
  // Halves of metres: many are as near as another, and many lie exactly at the limit.
  for (int i = 0; i < 400; ++i) of.push_back(site(5e6 + 0.5 * step(random), 4e5 + 0.5 * step(random)));
  for (int i = 0; i < 250; ++i) among.push_back(site(5e6 + 0.5 * step(random), 4e5 + 0.5 * step(random)));
  among.push_back(site(0, 0));
  const Length limit = Length::metres(1);
  const auto found = nearest_points(of, among, limit);
  REQUIRE(found.size() == of.size());
  std::size_t none = 0, alone = 0;
  for (std::size_t i = 0; i < of.size(); ++i) {
    Length least = limit;
    std::size_t as_near = 0;
    for (const Point<Site>& p : among) {
      const Length d = distance(of[i], p);
      if (d < least) least = d, as_near = 0;
      if (d == least) ++as_near;
    }
    CAPTURE(i);
    CHECK(found[i].has_value() == (as_near > 0));
    if (!found[i]) {
      ++none;
      continue;
    }
    CHECK(distance(of[i], among[found[i]->index]) == least);
    CHECK(found[i]->is_alone == (as_near == 1));
    alone += found[i]->is_alone;
  }
  CHECK(none > 20);
  CHECK(alone > 20);
  CHECK(alone + none < of.size() - 20);
  CHECK(nearest_points({}, among, limit).empty());
  CHECK_FALSE(nearest_points(of, {}, limit).front());
}
