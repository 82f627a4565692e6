#include "baseline/tie_wave.h"

#include <cmath>
#include <numbers>

namespace deckmark::tie_fit {

namespace {

constexpr double kStride = std::numbers::pi / 360;

/// Half the derivative of the square sum.
double slope_at(const Wave& f, double azimuth) {
  const double s = std::sin(azimuth), c = std::cos(azimuth);
  return f.q * s - f.p * c + (f.u - f.w) * s * c + f.v * (c - s) * (c + s);
}

/// Each computed value is a s + b c.
struct Factors {
  double a, b;
};
Factors factors_of(const Stated& t, double hand) {
  if (t.axis == TieAxis::x) return {t.easting, t.northing};
  return {hand * t.northing, -hand * t.easting};
}

double product(const Matrix& columns, std::size_t j, std::size_t k) {
  double sum = 0;
  for (std::size_t i = 0; i < columns.rows; ++i) sum += columns(i, j) * columns(i, k);
  return sum;
}

/// Takes out of all later columns what column k explains.
void take_out(Matrix& columns, std::size_t k) {
  const double square = product(columns, k, k);
  if (!(square > 0)) return;
  for (std::size_t j = k + 1; j < columns.cols; ++j) {
    const double share = product(columns, k, j) / square;
    for (std::size_t i = 0; i < columns.rows; ++i) columns(i, j) -= share * columns(i, k);
  }
}

}  // namespace

Wave wave_of(const Ties& ties, double hand) {
  Wave f;
  for (const Stated& t : ties.stated) {
    const double weight = 1 / (t.sd * t.sd);
    const auto [a, b] = factors_of(t, hand);
    f.constant += weight * t.value * t.value;
    f.p += weight * t.value * a;
    f.q += weight * t.value * b;
    f.u += weight * a * a;
    f.v += weight * a * b;
    f.w += weight * b * b;
  }
  return f;
}

Wave wave_of(const Ties& ties, std::span<const std::size_t> rows, double hand, const Whitening& whitening) {
  enum : std::size_t { shift_x, shift_y, a, b, value, all };
  Matrix columns(rows.size(), all);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const Stated& t = ties.stated[rows[i]];
    const Factors by = factors_of(t, hand);
    columns(i, t.axis == TieAxis::x ? shift_x : shift_y) = 1;
    columns(i, a) = by.a;
    columns(i, b) = by.b;
    columns(i, value) = t.value;
  }
  columns = whitening(columns);
  take_out(columns, shift_x);
  take_out(columns, shift_y);
  return {product(columns, value, value), product(columns, value, a), product(columns, value, b),
          product(columns, a, a),         product(columns, a, b),     product(columns, b, b)};
}

double minimum_between(const Wave& f, double low, double high) {
  for (int k = 0; k < 60; ++k) {
    const double middle = low + (high - low) / 2;
    (slope_at(f, middle) < 0 ? low : high) = middle;
  }
  return low + (high - low) / 2;
}

double minimum_near(const Wave& f, double azimuth) {
  double low = azimuth, high = azimuth;
  const bool rises = slope_at(f, azimuth) > 0;
  for (int k = 0; k < 360 && (slope_at(f, rises ? low : high) > 0) == rises; ++k) {
    (rises ? high : low) = rises ? low : high;
    (rises ? low : high) += rises ? -kStride : kStride;
  }
  return minimum_between(f, low, high);
}

Turn free_minimum(const Wave& f) {
  const double determinant = f.u * f.w - f.v * f.v;
  return {(f.p * f.w - f.q * f.v) / determinant, (f.q * f.u - f.p * f.v) / determinant};
}

}  // namespace deckmark::tie_fit
