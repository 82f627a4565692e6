#pragma once
/// Forward-mode dual numbers: a value and its derivatives by N unknowns, exact to rounding.

#include <array>
#include <cmath>
#include <cstddef>

namespace deckmark {

template <std::size_t N>
struct Dual {
  double value = 0;
  std::array<double, N> slope{};

  Dual() = default;
  Dual(double constant) : value(constant) {}  // NOLINT: constants are meant to convert
  /// The unknown number `index`.
  static Dual unknown(double at, std::size_t index) {
    Dual d(at);
    d.slope[index] = 1;
    return d;
  }
};

namespace dual_detail {
/// f(a) with f' given.
template <std::size_t N>
Dual<N> chain(double value, const Dual<N>& a, double fa) {
  Dual<N> out(value);
  for (std::size_t i = 0; i < N; ++i) out.slope[i] = fa * a.slope[i];
  return out;
}
/// f(a, b) with both partial derivatives given.
template <std::size_t N>
Dual<N> chain(double value, const Dual<N>& a, double fa, const Dual<N>& b, double fb) {
  Dual<N> out(value);
  for (std::size_t i = 0; i < N; ++i) out.slope[i] = fa * a.slope[i] + fb * b.slope[i];
  return out;
}
}  // namespace dual_detail

template <std::size_t N>
Dual<N> operator-(const Dual<N>& a) {
  return dual_detail::chain(-a.value, a, -1.0);
}

template <std::size_t N>
Dual<N> operator+(const Dual<N>& a, const Dual<N>& b) {
  return dual_detail::chain(a.value + b.value, a, 1.0, b, 1.0);
}
template <std::size_t N>
Dual<N> operator-(const Dual<N>& a, const Dual<N>& b) {
  return dual_detail::chain(a.value - b.value, a, 1.0, b, -1.0);
}
template <std::size_t N>
Dual<N> operator*(const Dual<N>& a, const Dual<N>& b) {
  return dual_detail::chain(a.value * b.value, a, b.value, b, a.value);
}
template <std::size_t N>
Dual<N> operator/(const Dual<N>& a, const Dual<N>& b) {
  const double q = a.value / b.value;
  return dual_detail::chain(q, a, 1.0 / b.value, b, -q / b.value);
}

template <std::size_t N>
Dual<N> operator+(const Dual<N>& a, double b) {
  return dual_detail::chain(a.value + b, a, 1.0);
}
template <std::size_t N>
Dual<N> operator+(double a, const Dual<N>& b) {
  return b + a;
}
template <std::size_t N>
Dual<N> operator-(const Dual<N>& a, double b) {
  return dual_detail::chain(a.value - b, a, 1.0);
}
template <std::size_t N>
Dual<N> operator-(double a, const Dual<N>& b) {
  return dual_detail::chain(a - b.value, b, -1.0);
}
template <std::size_t N>
Dual<N> operator*(const Dual<N>& a, double b) {
  return dual_detail::chain(a.value * b, a, b);
}
template <std::size_t N>
Dual<N> operator*(double a, const Dual<N>& b) {
  return b * a;
}
template <std::size_t N>
Dual<N> operator/(const Dual<N>& a, double b) {
  return dual_detail::chain(a.value / b, a, 1.0 / b);
}
template <std::size_t N>
Dual<N> operator/(double a, const Dual<N>& b) {
  return Dual<N>(a) / b;
}

/// Not differentiable at 0.
template <std::size_t N>
Dual<N> sqrt(const Dual<N>& a) {
  const double r = std::sqrt(a.value);
  return dual_detail::chain(r, a, 0.5 / r);
}
template <std::size_t N>
Dual<N> exp(const Dual<N>& a) {
  const double e = std::exp(a.value);
  return dual_detail::chain(e, a, e);
}
/// Radians.
template <std::size_t N>
Dual<N> sin(const Dual<N>& a) {
  return dual_detail::chain(std::sin(a.value), a, std::cos(a.value));
}
template <std::size_t N>
Dual<N> cos(const Dual<N>& a) {
  return dual_detail::chain(std::cos(a.value), a, -std::sin(a.value));
}
/// Not differentiable where both are 0.
template <std::size_t N>
Dual<N> atan2(const Dual<N>& y, const Dual<N>& x) {
  const double square = y.value * y.value + x.value * x.value;
  return dual_detail::chain(std::atan2(y.value, x.value), y, x.value / square, x, -y.value / square);
}
/// Not differentiable where both are 0.
template <std::size_t N>
Dual<N> hypot(const Dual<N>& a, const Dual<N>& b) {
  const double h = std::hypot(a.value, b.value);
  return dual_detail::chain(h, a, a.value / h, b, b.value / h);
}

}  // namespace deckmark
