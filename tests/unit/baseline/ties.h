#pragma once
/// Short makers of ties for the tests.

#include <optional>
#include <vector>

#include "baseline/fit.h"

namespace deckmark_test {

using namespace deckmark;

inline Length m(double v) { return Length::metres(v); }
inline Length mm(double v) { return Length::millimetres(v); }
inline Point<Drawing> drawing(double x, double y) { return {{.x = m(x), .y = m(y)}}; }
inline Point<Site> site(double easting, double northing) {
  return {{.northing = m(northing), .easting = m(easting)}};
}

struct TieText {
  std::optional<double> x, y;
  double easting, northing;
  double sd = 0.0015, tolerance = 0.005;
};
inline std::vector<Tie> ties(std::initializer_list<TieText> list) {
  std::vector<Tie> out;
  for (const TieText& t : list)
    out.push_back({t.x ? std::optional(m(*t.x)) : std::nullopt, t.y ? std::optional(m(*t.y)) : std::nullopt,
                   site(t.easting, t.northing), m(t.sd), m(t.sd), m(t.tolerance)});
  return out;
}

inline bool has(const BaselineResult& r, DoubtKind kind) {
  for (const Doubt& d : r.doubts)
    if (d.kind == kind) return true;
  return false;
}
inline const Doubt* find(const BaselineResult& r, DoubtKind kind) {
  for (const Doubt& d : r.doubts)
    if (d.kind == kind) return &d;
  return nullptr;
}
/// Misfit of one tie, both axes.
inline double misfit(const BaselineResult& r, std::size_t tie) {
  double sum = 0;
  for (const TieRow& row : r.rows)
    if (row.tie == tie) sum = std::hypot(sum, row.residual.metres());
  return sum;
}

inline const BaselineOptions kFixed{};
inline const BaselineOptions kFree{.scale_free = true};

}  // namespace deckmark_test
