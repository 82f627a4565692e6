#include "hanger/crossings.h"

#include <doctest/doctest.h>

#include "hanger_support.h"

using namespace hanger_test;

namespace {

std::vector<RunCourse> courses(const std::vector<Path>& paths) {
  std::vector<RunCourse> out;
  for (const Path& p : paths) out.push_back({p});
  return out;
}

}  // namespace

TEST_CASE("crossings, a tee and corners with their angles") {
  const std::vector<RunCourse> runs = courses(
      {*Path::line(at(0, 0), at(10, 0)), *Path::line(at(4, -3), at(4, 5)), *Path::line(at(10, 4), at(10, 0)),
       *Path::line(at(0, 0), at(-2, 2)), *Path::ring(at(6, 5), at(2, 5))});
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
  CHECK(find_crossings(courses({runs[0].path, *Path::line(at(5, 0), at(15, 0))})).overlaps.size() == 1);
}
