// Feet of places on runs, against circles and right triangles worked by hand.
#include "hanger/along.h"

#include <doctest/doctest.h>

#include <numbers>

#include "hanger_support.h"

using namespace hanger_test;

TEST_CASE("along a line, an arc and a ring; before the start and behind the end along the way there") {
  const double pi = std::numbers::pi, r = std::sqrt(0.5);
  const Path line = *Path::line(at(1, 1), at(5, 4)), arc = *Path::arc(at(2, 0), at(2 * r, 2 * r), at(0, 2)),
             ring = *Path::ring(at(2, 0), at(-2, 0));
  struct Row {
    const char* what;
    Path run;
    Point<Drawing> p;
    double want;
  };
  for (const Row& w :
       {Row{"on a line", line, at(3, 2.5), 2.5}, Row{"beside it", line, at(3 - 0.6, 2.5 + 0.8), 2.5},
        Row{"before it", line, at(1 - 0.8, 1 - 0.6), -1}, Row{"behind it", line, at(5.8, 4.6), 6},
        Row{"on an arc", arc, at(2 * r, 2 * r), pi / 2}, Row{"inside it", arc, at(r, r), pi / 2},
        Row{"before an arc", arc, at(2, -0.5), -0.5}, Row{"behind it", arc, at(-0.7, 2), pi + 0.7},
        Row{"on a ring", ring, at(0, 2), pi}, Row{"before its start", ring, at(3 * r, -3 * r), 3.5 * pi},
        Row{"at its start", ring, at(2.5, 0), 0}}) {
    CAPTURE(w.what);
    CHECK(along_of(w.run, w.p).metres() == doctest::Approx(w.want).epsilon(1e-9));
  }
}

TEST_CASE("along the straight joins of marks: at the foot beside its own mark") {
  // Four sides of a square, 4 m each: the last mark lies on the first.
  const std::vector<Point<Drawing>> marks{at(0, 0), at(4, 0), at(4, 4), at(0, 4), at(0, 0)};
  const std::vector<Length> along{m(0), m(4), m(8), m(12), m(16)};
  CHECK(along_of(marks, along, 0, at(1, 0.2)).metres() == doctest::Approx(1));
  CHECK(along_of(marks, along, 4, at(-0.2, 1)).metres() == doctest::Approx(15));
  CHECK(along_of(marks, along, 1, at(4.3, 1)).metres() == doctest::Approx(5));
  CHECK(along_of(marks, along, 0, at(-0.5, 0)).metres() == doctest::Approx(-0.5));  // before the first
  CHECK(along_of(marks, along, 4, at(0, -0.5)).metres() == doctest::Approx(16.5));  // behind the last
  // A duct wider than a space: the foot lies beyond the next mark.
  const std::vector<Point<Drawing>> row{at(0, 0), at(1, 0), at(2, 0), at(3, 0)};
  const std::vector<Length> steps{m(0), m(1), m(2), m(3)};
  CHECK(along_of(row, steps, 1, at(2.6, 0.1)).metres() == doctest::Approx(2.6));
  CHECK(along_of(row, steps, 2, at(-0.4, 0)).metres() == doctest::Approx(-0.4));
}
