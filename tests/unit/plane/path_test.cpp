// Lines, arcs and rings against published curve elements and closed forms.
#include <doctest/doctest.h>

#include <numbers>

#include "measure/angle_text.h"
#include "plane_support.h"
#include "support/vector_file.h"

using namespace plane_test;
using namespace deckmark_test;

namespace {

constexpr double kPi = std::numbers::pi;

Path arc(double radius, double degrees) {
  const auto on = [&](double a) { return at(radius * std::cos(a), radius * std::sin(a)); };
  const double turn = degrees * kPi / 180;
  const auto made = Path::arc(on(0.3), on(0.3 + turn * 0.37), on(0.3 + turn));
  REQUIRE(made);
  return *made;
}

/// `16:38:00` or a plain number, in degrees.
double degrees_of(const std::string& text) {
  double value = 0, part = 1;
  std::size_t from = 0;
  while (from <= text.size()) {
    const std::size_t to = std::min(text.find(':', from), text.size());
    value += std::stod(text.substr(from, to - from)) / part;
    part *= 60;
    from = to + 1;
  }
  return value;
}

}  // namespace

TEST_CASE("published curve elements come back from an arc through three points") {
  // Source: tests/vectors/reference/geometry_examples.csv, rows `curve`; each states its own.
  std::size_t rows = 0;
  for (const VectorRow& r : read_vectors("vectors/reference/geometry_examples.csv")) {
    if (r.at("calc") != "curve") continue;
    const auto in = split_inputs(r.at("inputs"));
    const double delta = degrees_of(in.at("delta"));
    // Degree of curve, arc definition: 100 ft of arc turn through Dc degrees.
    const double radius = in.count("R") ? std::stod(in.at("R")) : 100 * 180 / kPi / degrees_of(in.at("Dc"));
    const Path path = arc(radius, delta);
    const double found_radius = path.radius()->metres(), half = path.length() / *path.radius() / 2;
    const std::string& what = r.at("output");
    const double value = what == "R"   ? found_radius
                         : what == "L" ? path.length().metres()
                         : what == "M" ? path.rise().metres()
                         : what == "E" ? found_radius * (1 / std::cos(half) - 1)
                                       : found_radius * std::tan(half);
    CAPTURE(r.at("id"));
    CAPTURE(what);
    CHECK(std::abs(value - std::stod(r.at("expected"))) <= std::stod(r.at("tol")));
    ++rows;
  }
  CHECK(rows >= 6);
}

TEST_CASE("lengths, chords and rises in closed form") {
  for (const double radius : {0.75, 3.2, 40.0, 9000.0})
    for (const double degrees : {5.0, 60.0, 90.0, 179.0, 180.0, 200.0, 300.0, 355.0, -45.0, -270.0}) {
      CAPTURE(radius);
      CAPTURE(degrees);
      const Path path = arc(radius, degrees);
      const double turn = std::abs(degrees) * kPi / 180;
      CHECK(std::abs(path.radius()->metres() - radius) < 1e-6);
      CHECK(std::abs(path.length().metres() - radius * turn) < 1e-6);
      CHECK(std::abs(path.chord().metres() - 2 * radius * std::sin(turn / 2)) < 1e-6);
      CHECK(std::abs(path.rise().metres() - radius * (1 - std::cos(turn / 2))) < 1e-6);
    }
}

TEST_CASE("a curve beside a line, arc or ring: square to it, as long as its own radius makes it") {
  struct Row {
    Path path;
    double left, from, to;  // metres
    double length;          // by hand: (R - left) t where the way turns left, (R + left) t where right
  };
  const Path line = *Path::line(at(1, 2), at(4, 6)), ring = *Path::ring(at(5, 2), at(1, 2));
  for (const Row& r :
       {Row{line, 0.1, 0, 5, 5}, Row{line, -0.1, -1, 7, 8}, Row{line, 3, 2, 4.5, 2.5},
        Row{arc(3.2, 90), 0.1, 0, 1.6 * kPi, 3.1 * kPi / 2},
        Row{arc(3.2, 90), -0.1, 0, 1.6 * kPi, 3.3 * kPi / 2},
        Row{arc(3.2, -90), 0.1, 0, 1.6 * kPi, 3.3 * kPi / 2}, Row{arc(3.2, -90), -0.1, 0.32, 3.52, 3.1},
        Row{arc(3.2, 90), 0.1, -0.32, 1.6 * kPi + 0.32, 3.1 * (kPi / 2 + 0.2)},
        Row{ring, 0.1, 0, 4 * kPi, 3.8 * kPi}, Row{ring, -0.1, 1, 4, 3.15}}) {
    CAPTURE(r.left);
    CAPTURE(r.from);
    CAPTURE(r.to);
    const auto beside = r.path.parallel(m(r.left), m(r.from), m(r.to));
    REQUIRE(beside);
    CHECK(beside->length().metres() == doctest::Approx(r.length).epsilon(1e-9));
    for (const double part : {0.0, 0.3, 1.0}) {
      const Length along = m(r.from + part * (r.to - r.from));
      const Vec<Drawing> off = beside->at(part * beside->length()) - r.path.at(along),
                         way = r.path.direction_at(along);
      // To the left of the way is (-way y, way x).
      CHECK(off.by.x.metres() == doctest::Approx(-r.left * way.by.y.metres()).epsilon(1e-9));
      CHECK(off.by.y.metres() == doctest::Approx(r.left * way.by.x.metres()).epsilon(1e-9));
    }
  }
  CHECK(ring.parallel(m(0.1), m(0), ring.length())->is_closed());
  CHECK_FALSE(ring.parallel(m(0.1), m(0), ring.length() - m(0.01))->is_closed());
  CHECK_FALSE(arc(0.75, 90).parallel(m(0.75), m(0), m(1)));
  CHECK_FALSE(arc(0.75, 90).parallel(m(0.1), m(0.5), m(0.5)));
  CHECK_FALSE(line.parallel(m(0.1), m(3), m(2)));
}

TEST_CASE("the foot of a place on the whole line or circle, on the turn nearest to what is asked") {
  const Path line = *Path::line(at(1, 2), at(4, 6)), ring = *Path::ring(at(5, 2), at(1, 2));
  CHECK(line.whole_along(at(1 - 3 - 0.8, 2 - 4 + 0.6), m(0)).metres() == doctest::Approx(-5));
  CHECK(line.whole_along(at(1 + 6, 2 + 8), m(0)).metres() == doctest::Approx(10));
  CHECK(ring.whole_along(at(3, 9), m(0)).metres() == doctest::Approx(kPi));
  CHECK(ring.whole_along(at(3, 9), m(4 * kPi)).metres() == doctest::Approx(5 * kPi));
  CHECK(ring.whole_along(at(3, -9), m(0)).metres() == doctest::Approx(-kPi));
  for (const double degrees : {60.0, -60.0})
    for (const double along : {-0.4, 0.0, 1.0, 2.5}) {
      const Path path = arc(3.2, degrees), whole = *path.parallel(m(0), m(-0.5), m(3.5));
      CHECK(path.whole_along(whole.at(m(along + 0.5)), m(along)).metres() ==
            doctest::Approx(along).epsilon(1e-9));
    }
}

TEST_CASE("where whole lines and circles meet, and where they miss one another by a little") {
  const Path x = *Path::line(at(0, 0), at(1, 0)), slope = *Path::line(at(7, 1), at(8, 2)),
             far = *Path::line(at(0, 1), at(10, 1)), ring = *Path::ring(at(7, 0), at(3, 0));
  const auto met = whole_meetings(x, slope, m(1e-6));
  REQUIRE(met.size() == 1);
  CHECK(distance(met[0], at(6, 0)).metres() < 1e-9);
  CHECK(whole_meetings(x, far, m(0.5)).empty());
  CHECK(whole_meetings(x, ring, m(1e-6)).size() == 2);
  const Path high = *Path::line(at(0, 2.003), at(1, 2.003));
  CHECK(whole_meetings(high, ring, m(0.001)).empty());
  const auto near = whole_meetings(high, ring, m(0.005));
  REQUIRE(near.size() == 1);
  CHECK(distance(near[0], at(5, 2.003)).metres() < 1e-6);
}

TEST_CASE("a ring goes counter-clockwise from its first point over the opposite one") {
  const Path ring = *Path::ring(at(5, 2), at(1, 2));
  CHECK(ring.is_closed());
  CHECK(ring.length().metres() == doctest::Approx(4 * kPi));
  CHECK(ring.chord().metres() == doctest::Approx(4));
  CHECK(ring.rise().metres() == doctest::Approx(2));
  const Point<Drawing> quarter = ring.at(ring.length() / 4), start = ring.at(m(0));
  CHECK(quarter.at.x.metres() == doctest::Approx(3));
  CHECK(quarter.at.y.metres() == doctest::Approx(4));
  CHECK(start.at.x.metres() == doctest::Approx(5));
  CHECK(start.at.y.metres() == doctest::Approx(2));
}

TEST_CASE("straight joints along a path stand off it by no more than asked") {
  const auto at = [](double x, double y) {
    return Point<Drawing>{{.x = Length::metres(x), .y = Length::metres(y)}};
  };
  const Path line = *Path::line(at(1, 2), at(4, 6)), arc = *Path::arc(at(5, 0), at(0, 5), at(-5, 0)),
             ring = *Path::ring(at(30, 0), at(-30, 0));
  CHECK(polyline(line, Length::millimetres(1)).size() == 2);
  for (const Path& path : {line, arc, ring})
    for (const double mm : {0.1, 1.0, 5.0, 4000.0}) {
      const auto places = polyline(path, Length::millimetres(mm));
      CHECK(places.size() <= 721);
      CHECK(path.nearest(places.front()).distance.metres() < 1e-9);
      CHECK((places.back().at.x - path.at(path.length()).at.x).metres() == doctest::Approx(0));
      CHECK((places.back().at.y - path.at(path.length()).at.y).metres() == doctest::Approx(0));
      double off = 0;
      for (std::size_t i = 1; i < places.size(); ++i) {
        const Point<Drawing> middle = at((places[i - 1].at.x.metres() + places[i].at.x.metres()) / 2,
                                         (places[i - 1].at.y.metres() + places[i].at.y.metres()) / 2);
        off = std::max(off, path.nearest(middle).distance.millimetres());
      }
      CHECK(off <= std::max(mm, 30000 * 0.5 * 0.00002) + 1e-9);  // 720 joints of a ring of 30 m: 0.29 mm
    }
}

TEST_CASE("what is no line, arc or ring") {
  CHECK_FALSE(Path::line(at(1, 1), at(1, 1.0005)));
  CHECK_FALSE(Path::arc(at(0, 0), at(1, 0), at(2, 0)));
  CHECK_FALSE(Path::arc(at(0, 0), at(1, 1e-6), at(2, 0)));
  CHECK_FALSE(Path::arc(at(0, 0), at(3, 0), at(2, 0)));
  CHECK_FALSE(Path::arc(at(0, 0), at(0, 0), at(2, 0)));
  CHECK_FALSE(Path::arc(at(0, 0), at(1, 1), at(0, 0)));
  CHECK_FALSE(Path::ring(at(0, 0), at(0, 0)));
}

TEST_CASE("where paths meet") {
  const Path x = *Path::line(at(0, 0), at(10, 0)), y = *Path::line(at(4, -3), at(4, 5)),
             far = *Path::line(at(0, 1), at(10, 1));
  const Path ring = *Path::ring(at(7, 0), at(3, 0)), small = *Path::ring(at(5, 3), at(5, 1));
  const auto only = [](const Meetings& met) {
    REQUIRE(met.places.size() == 1);
    return met.places[0];
  };
  const Meeting c = only(meetings(x, y, m(0.001)));
  CHECK(c.along_first.metres() == doctest::Approx(4));
  CHECK(c.along_second.metres() == doctest::Approx(3));
  CHECK(meetings(x, far, m(0.001)).places.empty());
  CHECK(meetings(x, ring, m(0.001)).places.size() == 2);
  CHECK(meetings(ring, small, m(0.001)).places.size() == 2);
  CHECK(meetings(x, small, m(0.001)).places.empty());
  // Touching: a line along the ring's top, a ring inside.
  const Meeting touch = only(meetings(*Path::line(at(0, 2), at(10, 2)), ring, m(0.001)));
  CHECK(touch.at.at.x.metres() == doctest::Approx(5));
  CHECK(only(meetings(ring, *Path::ring(at(7, 0), at(5, 0)), m(0.001))).at.at.x.metres() ==
        doctest::Approx(7));
  // Ends: a corner, an end 0.8 mm short of the other run, and one 2 mm short.
  CHECK(only(meetings(x, *Path::line(at(10, 0), at(10, 4)), m(0.001))).along_first.metres() ==
        doctest::Approx(10));
  CHECK(meetings(x, *Path::line(at(5, 0.0008), at(5, 4)), m(0.001)).places.size() == 1);
  CHECK(meetings(x, *Path::line(at(5, 0.002), at(5, 4)), m(0.001)).places.empty());
  // Lying on one another.
  CHECK(meetings(x, *Path::line(at(3, 0), at(14, 0)), m(0.001)).overlap);
  CHECK(meetings(ring, *Path::ring(at(3, 0), at(7, 0)), m(0.001)).overlap);
  CHECK_FALSE(meetings(x, y, m(0.001)).overlap);
}
