#include "baseline/corner_size.h"

#include <doctest/doctest.h>

#include <array>

#include "baseline/lengths.h"

using namespace deckmark;

namespace {

Length m(double v) { return Length::metres(v); }

/// sd of the corner's angle, by the functions that judge taped corners.
double sd_of(CornerFigure figure, double a, double b, double s) {
  const auto sdl = [&](double v) { return SdLength{m(v), m(s)}; };
  const double c = std::hypot(a, b);
  if (figure == CornerFigure::triangle)
    return corner_from_sides(sdl(a), sdl(b), sdl(c), m(30), SetOut::secondary, std::nullopt).sd.radians();
  const std::array<SdLength, 6> six{sdl(a), sdl(b), sdl(a), sdl(b), sdl(c), sdl(c)};
  return corner_from_quadrilateral(six, m(30), SetOut::secondary, std::nullopt).sd.radians();
}

}  // namespace

TEST_CASE("a larger corner: the least that is enough, within the floor, the same figure first") {
  struct Row {
    CornerFigure present;
    double a, b, times, x, y;  // the floor
    CornerFigure want;
    double wa, wb;
    bool fits;
  };
  using enum CornerFigure;
  for (const Row& r : {
           Row{triangle, 3, 4, 2, 30, 40, triangle, 6, 8, true},
           Row{triangle, 3, 4, 10, 30, 40, triangle, 30, 40, true},  // the floor itself is just enough
           // x ends at 5: 1/b^2 = (5/24)^2 - 1/25, so that b = 17.143
           Row{triangle, 3, 4, 2, 5, 40, triangle, 5, 17.142857, true},
           Row{triangle, 4, 3, 2, 40, 5, triangle, 17.142857, 5, true},
           Row{triangle, 3, 4, 12, 30, 40, rectangle, 25.455844, 33.941125, true},  // 12 / root 2 times
           Row{triangle, 3, 4, 15, 30, 40, rectangle, 30, 40, false},
           Row{rectangle, 3, 4, 12, 30, 40, rectangle, 30, 40, false},
           Row{rectangle, 3, 4, 3, 30, 40, rectangle, 9, 12, true},
           Row{triangle, 3, 4, 1.2, 3.2, 4.2, rectangle, 3, 4, true},  // as large as now, with all six
       }) {
    CAPTURE(r.times);
    CAPTURE(r.x);
    const LargerCorner got = larger_corner(r.present, {m(r.a), m(r.b)}, r.times, {m(r.x), m(r.y)});
    CHECK(got.figure == r.want);
    CHECK(got.fits == r.fits);
    CHECK(got.legs.x.metres() == doctest::Approx(r.wa).epsilon(1e-6));
    CHECK(got.legs.y.metres() == doctest::Approx(r.wb).epsilon(1e-6));
    CHECK(got.legs.x <= m(r.x + 1e-9));
    CHECK(got.legs.y <= m(r.y + 1e-9));
    if (r.fits) CHECK(got.finer >= r.times - 1e-9);
    // As good as it is said to be, by the functions that will judge it.
    const double now = sd_of(r.present, r.a, r.b, 0.001),
                 then = sd_of(got.figure, got.legs.x.metres(), got.legs.y.metres(), 0.001);
    CHECK(now / then == doctest::Approx(got.finer).epsilon(1e-6));
  }
}
