// Near pairs against a look at every pair, where points lie loose, dense, on cell edges and on one another.
#include "marks/near_pairs.h"

#include <doctest/doctest.h>

#include <chrono>
#include <cmath>
#include <cstdio>
#include <random>
#include <set>

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
