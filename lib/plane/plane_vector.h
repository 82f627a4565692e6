#pragma once
/// Plane vectors as plain metres, for the inside of rooms that compute closed forms in plan; no header of
/// theirs shows one.

#include <algorithm>
#include <cmath>

#include "measure/frame.h"

namespace deckmark::plane_detail {

struct V {
  double x = 0, y = 0;
};
inline V operator-(V a, V b) { return {a.x - b.x, a.y - b.y}; }
inline V operator+(V a, V b) { return {a.x + b.x, a.y + b.y}; }
inline V operator*(double k, V a) { return {k * a.x, k * a.y}; }
inline double dot(V a, V b) { return a.x * b.x + a.y * b.y; }
inline double cross(V a, V b) { return a.x * b.y - a.y * b.x; }
inline double size(V a) { return std::hypot(a.x, a.y); }
inline V of(const Point<Drawing>& p) { return {p.at.x.metres(), p.at.y.metres()}; }
inline V of(const Vec<Drawing>& v) { return {v.by.x.metres(), v.by.y.metres()}; }
inline Point<Drawing> point(V v) { return {{.x = Length::metres(v.x), .y = Length::metres(v.y)}}; }
inline Vec<Drawing> vec(V v) { return {{.x = Length::metres(v.x), .y = Length::metres(v.y)}}; }

inline constexpr double kHairMetres = 1e-9;

/// Distance from p to the segment a b.
inline double segment_distance(V p, V a, V b) {
  const V along = b - a;
  const double square = dot(along, along);
  const double t = square > 0 ? std::clamp(dot(p - a, along) / square, 0.0, 1.0) : 0.0;
  return size(p - (a + t * along));
}

/// Whether the inner parts of two segments cross.
inline bool cross_properly(V a, V b, V c, V d) {
  const double ab_c = cross(b - a, c - a), ab_d = cross(b - a, d - a);
  const double cd_a = cross(d - c, a - c), cd_b = cross(d - c, b - c);
  return ((ab_c > 0) != (ab_d > 0)) && ((cd_a > 0) != (cd_b > 0)) && ab_c != 0 && ab_d != 0 && cd_a != 0 &&
         cd_b != 0;
}

}  // namespace deckmark::plane_detail
