#include "lift/bays.h"

#include <doctest/doctest.h>

#include <cmath>
#include <random>
#include <vector>

using namespace deckmark;

namespace {

Point<Drawing> at(double x, double y) { return {{.x = Length::metres(x), .y = Length::metres(y)}}; }
Outline rectangle(double x0, double y0, double x1, double y1) {
  const std::vector<Point<Drawing>> c{at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)};
  return std::get<Outline>(Outline::make(c));
}

}  // namespace

TEST_CASE("the bay of a place: one, none or two") {
  const std::vector<Outline> bays{rectangle(0, 0, 5, 6), rectangle(5, 0, 10, 6), rectangle(9, 0, 12, 6)};
  struct Row {
    double x, y;
    int bay, another;
  };
  for (const Row& r : {Row{1, 1, 0, -1}, Row{7, 3, 1, -1}, Row{11, 3, 2, -1}, Row{13, 3, -1, -1},
                       Row{1, 7, -1, -1}, Row{5, 3, 0, 1}, Row{9.5, 3, 1, 2}, Row{0, 3, 0, -1}}) {
    CAPTURE(r.x);
    CAPTURE(r.y);
    const BayOf in = bay_of(at(r.x, r.y), bays);
    CHECK((in.bay ? static_cast<int>(*in.bay) : -1) == r.bay);
    CHECK((in.another ? static_cast<int>(*in.another) : -1) == r.another);
  }
}

TEST_CASE("bays that lie against one another, with the middle of their edge") {
  // The second begins 5 mm behind the first, the third 20 mm behind the second; the fourth touches the first
  // in a corner.
  const std::vector<Outline> bays{rectangle(0, 0, 5, 6), rectangle(5.005, 2, 10, 8),
                                  rectangle(10.02, 0, 12, 6), rectangle(-3, 6, 0, 9)};
  const auto joints = neighbours(bays);
  REQUIRE(joints.size() == 1);
  CHECK(joints[0].first == 0);
  CHECK(joints[0].second == 1);
  CHECK(std::abs(joints[0].edge.length.metres() - 4) < 0.02);
  CHECK(std::abs(joints[0].edge.middle.at.x.metres() - 5) < 0.006);
  CHECK(std::abs(joints[0].edge.middle.at.y.metres() - 4) < 0.02);
}

TEST_CASE("a grid of bays holds every place inside it once") {
  std::vector<Outline> bays;
  for (int i = 0; i < 4; ++i)
    for (int j = 0; j < 3; ++j) bays.push_back(rectangle(5 * i, 4 * j, 5 * i + 5, 4 * j + 4));
  CHECK(neighbours(bays).size() == 3 * 3 + 4 * 2);
  std::mt19937_64 random(1);
  std::uniform_real_distribution<double> x(0, 20), y(0, 12);
  for (int k = 0; k < 10000; ++k) {
    const double px = x(random), py = y(random);
    const BayOf in = bay_of(at(px, py), bays);
    REQUIRE(in.bay);
    CHECK_FALSE(in.another);
    CHECK(*in.bay ==
          static_cast<std::size_t>(std::floor(px / 5)) * 3 + static_cast<std::size_t>(std::floor(py / 4)));
  }
}
