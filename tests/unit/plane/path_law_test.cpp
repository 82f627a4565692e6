// Laws of paths: places measured back, and meetings that lie on both.
#include <doctest/doctest.h>

#include "plane_support.h"

using namespace plane_test;

namespace {

Path random_path(std::mt19937_64& random) {
  for (;;) {
    const auto place = [&] { return at(uniform(random, -10, 10), uniform(random, -10, 10)); };
    const int kind = std::uniform_int_distribution<int>(0, 2)(random);
    const auto made = kind == 0   ? Path::line(place(), place())
                      : kind == 1 ? Path::arc(place(), place(), place())
                                  : Path::ring(place(), place());
    if (made && (made->is_straight() || made->radius()->metres() < 200)) return *made;
  }
}

}  // namespace

TEST_CASE("a place on a path is found again where it is, and directions are those of small steps") {
  std::mt19937_64 random(1);
  for (int i = 0; i < 20000; ++i) {
    const Path path = random_path(random);
    const Length s = path.length() * uniform(random, 0.001, 0.999);
    const Point<Drawing> p = path.at(s);
    const Path::Nearest back = path.nearest(p);
    CHECK(std::abs((back.along - s).metres()) < 1e-8);
    CHECK(back.distance.metres() < 1e-9);
    const Length step = m(1e-5);
    const Vec<Drawing> by = path.at(s + step) - path.at(s - step), way = path.direction_at(s);
    CHECK(std::abs(by.by.x.metres() / 2e-5 - way.by.x.metres()) < 1e-4);
    CHECK(std::abs(by.by.y.metres() / 2e-5 - way.by.y.metres()) < 1e-4);
  }
}

TEST_CASE("no sampled place of a path is nearer than the nearest one") {
  std::mt19937_64 random(1);
  for (int i = 0; i < 5000; ++i) {
    const Path path = random_path(random);
    const Point<Drawing> p = at(uniform(random, -12, 12), uniform(random, -12, 12));
    const Length nearest = path.nearest(p).distance;
    for (int k = 0; k <= 40; ++k)
      CHECK(distance(path.at(path.length() * (k / 40.0)), p) >= nearest - m(1e-9));
  }
}

TEST_CASE("meetings lie on both paths, and every change of side between samples has one") {
  std::mt19937_64 random(1);
  std::size_t found = 0;
  for (int i = 0; i < 5000; ++i) {
    const Path a = random_path(random), b = random_path(random);
    const Meetings met = meetings(a, b, m(0.001));
    for (const Meeting& q : met.places) {
      CHECK(distance(a.at(q.along_first), q.at).metres() < 0.0011);
      CHECK(distance(b.at(q.along_second), q.at).metres() < 0.0011);
      ++found;
    }
    // Where a line's side of the other line changes within both, they meet.
    if (!a.is_straight() || !b.is_straight()) continue;
    const auto side = [](const Path& of, const Point<Drawing>& p) {
      const Vec<Drawing> by = p - of.at(m(0)), way = of.direction_at(m(0));
      return way.by.x.metres() * by.by.y.metres() - way.by.y.metres() * by.by.x.metres();
    };
    const bool crossed = side(a, b.at(m(0))) * side(a, b.at(b.length())) < 0 &&
                         side(b, a.at(m(0))) * side(b, a.at(a.length())) < 0;
    CHECK((crossed ? met.places.size() == 1 : met.places.size() <= 1));
  }
  CHECK(found > 2000);
}
