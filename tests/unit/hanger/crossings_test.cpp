#include "hanger/crossings.h"

#include <doctest/doctest.h>

#include "hanger_support.h"

using namespace hanger_test;

TEST_CASE("crossings, a tee and corners with their angles") {
  const std::vector<Path> runs{*Path::line(at(0, 0), at(10, 0)), *Path::line(at(4, -3), at(4, 5)),
                               *Path::line(at(10, 4), at(10, 0)), *Path::line(at(0, 0), at(-2, 2)),
                               *Path::ring(at(6, 5), at(2, 5))};
  const CrossingsResult out = find_crossings(runs);
  struct Row {
    std::size_t a, b;
    double along_a, along_b, angle;
    bool corner;
  };
  const Row rows[] = {{0, 1, 4, 3, 90, false},
                      {0, 2, 10, 4, 90, true},
                      {0, 3, 0, 0, 135, true},
                      {1, 4, 6, 3 * 3.14159265358979, 90, false}};
  REQUIRE(out.places.size() == 4);
  for (std::size_t i = 0; i < 4; ++i) {
    CAPTURE(i);
    const Crossing& c = out.places[i];
    CHECK(c.first == rows[i].a);
    CHECK(c.second == rows[i].b);
    CHECK(c.along_first.metres() == doctest::Approx(rows[i].along_a));
    CHECK(c.along_second.metres() == doctest::Approx(rows[i].along_b));
    CHECK(c.angle.degrees() == doctest::Approx(rows[i].angle));
    CHECK(c.mitre.has_value() == rows[i].corner);
    if (c.mitre) CHECK(c.mitre->degrees() == doctest::Approx(rows[i].angle / 2));
  }
  CHECK(out.overlaps.empty());
  CHECK(find_crossings(std::vector<Path>{runs[0], *Path::line(at(5, 0), at(15, 0))}).overlaps.size() == 1);
}

TEST_CASE("what a corner takes from the inside member and adds to the outside one") {
  CHECK(corner_allowance(Angle::degrees(90), m(0.2))->metres() == doctest::Approx(0.1));
  CHECK(corner_allowance(Angle::degrees(60), m(0.2))->metres() == doctest::Approx(0.1 * std::sqrt(3.0)));
  CHECK(corner_allowance(Angle::degrees(180), m(0.2))->metres() == doctest::Approx(0));
  CHECK_FALSE(corner_allowance(Angle::degrees(0), m(0.2)));
}
