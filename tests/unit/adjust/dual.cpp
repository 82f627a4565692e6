#include "adjust/dual.h"

#include <doctest/doctest.h>

using namespace deckmark;

namespace {

using D = Dual<2>;

template <class F>
void check_against_differences(const F& f, double a, double b) {
  const D exact = f(D::unknown(a, 0), D::unknown(b, 1));
  // Central differences: truncation h^2 and rounding eps/h balance near 1e-5, which leaves about 1e-9.
  const double h = 1e-5;
  const double by_a = (f(D(a + h), D(b)).value - f(D(a - h), D(b)).value) / (2 * h);
  const double by_b = (f(D(a), D(b + h)).value - f(D(a), D(b - h)).value) / (2 * h);
  CHECK(exact.slope[0] == doctest::Approx(by_a).epsilon(1e-7));
  CHECK(exact.slope[1] == doctest::Approx(by_b).epsilon(1e-7));
}

}  // namespace

TEST_CASE("derivatives agree with differences") {
  for (const auto& [a, b] : {std::pair{1.3, 0.7}, {-2.1, 0.4}, {0.2, -3.5}, {-0.9, -1.1}}) {
    CAPTURE(a);
    CAPTURE(b);
    check_against_differences([](D x, D y) { return x * y + x - y; }, a, b);
    check_against_differences([](D x, D y) { return x / y; }, a, b);
    check_against_differences([](D x, D y) { return sin(x) * cos(y); }, a, b);
    check_against_differences([](D x, D y) { return atan2(y, x); }, a, b);
    check_against_differences([](D x, D y) { return hypot(x, y); }, a, b);
    check_against_differences([](D x, D y) { return sqrt(x * x + 2.0 * y * y + 1.0); }, a, b);
    check_against_differences([](D x, D y) { return 3.0 / (2.0 + x * x) - (1.0 - y) / 4.0 - exp(-x); }, a, b);
  }
}

TEST_CASE("constants carry no derivative") {
  const D c = D(2.0) * 3.0 + 1.0;
  CHECK(c.value == 7.0);
  CHECK(c.slope[0] == 0.0);
  CHECK(c.slope[1] == 0.0);
}
