#include <algorithm>
#include <cmath>

#include "baseline/tie_fit.h"

namespace deckmark {

std::vector<Point<Drawing>> extent_corners(std::span<const Point<Drawing>> points) {
  if (points.empty()) return {};
  Length least_x = points.front().at.x, most_x = least_x, least_y = points.front().at.y, most_y = least_y;
  for (const Point<Drawing>& p : points) {
    least_x = std::min(least_x, p.at.x);
    most_x = std::max(most_x, p.at.x);
    least_y = std::min(least_y, p.at.y);
    most_y = std::max(most_y, p.at.y);
  }
  return {{{.x = least_x, .y = least_y}},
          {{.x = most_x, .y = least_y}},
          {{.x = most_x, .y = most_y}},
          {{.x = least_x, .y = most_y}}};
}

namespace tie_fit {

namespace {

/// The layout reaches beyond the ties by as much as they lie apart (common practice, no source).
constexpr double kWeakReach = 3;
/// Practitioner limit of a freed scale (common practice, no source).
constexpr double kScalePpm = 50;
constexpr double kTwoFeetPpm = 2;  // 1200/3937 m against 0.3048 m: 2.0000 ppm
/// A tie this far out with a coordinate of exactly 0 looks as if the coordinate were missing.
constexpr Length kMissingMisfit = Length::metres(10);

struct Farthest {
  std::size_t index = 0;
  double value = 0;
};
template <class Measure>
Farthest farthest(std::span<const Point<Drawing>> points, const Measure& measure) {
  Farthest out;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double v = measure(points[i]);
    if (i == 0 || v > out.value) out = {i, v};
  }
  return out;
}

/// Sds and distances are convex over the plan, so that no point exceeds the corners of the extent: only where
/// a corner is over the limit are all points asked.
template <class Measure>
std::optional<Farthest> over(std::span<const Point<Drawing>> points, std::span<const Point<Drawing>> corners,
                             double limit, const Measure& measure) {
  if (farthest(corners, measure).value <= limit) return std::nullopt;
  const Farthest worst = farthest(points, measure);
  return worst.value > limit ? std::optional(worst) : std::nullopt;
}

void doubt_reach(std::span<const Tie> ties, std::span<const Point<Drawing>> mapped, BaselineResult& out) {
  const auto corners = extent_corners(mapped);
  const FittedTransform& fit = *out.fit;
  const auto sd = [&](const Point<Drawing>& p) { return semi_major(fit.covariance_at(p)).metres(); };
  if (const auto worst = over(mapped, corners, out.options.position_tolerance.metres(), sd))
    out.doubts.push_back({DoubtKind::nearly_open, worst->value, worst->index});
  double radius = 0;
  for (const Tie& t : ties)
    radius = std::max(radius, distance(t.at, fit.site_from_drawing.parts().site_centre).metres());
  const auto reach = [&](const Point<Drawing>& p) {
    return distance(fit.site_from_drawing(p), fit.site_from_drawing.parts().site_centre).metres() / radius;
  };
  if (radius > 0)
    if (const auto worst = over(mapped, corners, kWeakReach, reach))
      out.doubts.push_back({DoubtKind::weak_base, worst->value, worst->index});
}

void doubt_scale(BaselineResult& out) {
  const double ppm = (out.fit->site_from_drawing.parts().scale - 1) * 1e6;
  const double sd_ppm = std::sqrt(out.fit->covariance[3][3]) * 1e6;
  if (std::abs(ppm) > kScalePpm) out.doubts.push_back({DoubtKind::scale_off, ppm});
  if (sd_ppm < kTwoFeetPpm / 4 && std::abs(std::abs(ppm) - kTwoFeetPpm) <= std::max(3 * sd_ppm, 0.05))
    out.doubts.push_back({DoubtKind::two_feet, ppm});
}

/// With the scale fixed, ties in another unit are far out: a freed scale tells which.
void doubt_units(const Ties& centred, BaselineResult& out) {
  const Hand freed = fit_hand(centred, out.options.mirrored, true);
  if (!freed.determined() || freed.minima.front().misfit > out.misfit.metres() / 2) return;
  out.units = unit_ratio(freed.minima.front().scale);
  if (out.units) out.doubts.push_back({DoubtKind::looks_like_units, out.units->scale});
}

void doubt_missing(std::span<const Tie> ties, BaselineResult& out) {
  for (std::size_t i = 0; i < ties.size(); ++i) {
    const auto zeros = [](const Tie& t) {
      return t.at.at.northing == Length::metres(0) || t.at.at.easting == Length::metres(0);
    };
    double misfit = 0;
    for (const TieRow& row : out.rows)
      if (row.tie == i) misfit = std::hypot(misfit, row.residual.metres());
    const bool alone = std::count_if(ties.begin(), ties.end(), [&](const Tie& t) { return zeros(t); }) == 1;
    if (alone && zeros(ties[i]) && misfit > kMissingMisfit.metres())
      out.doubts.push_back({DoubtKind::looks_like_missing, misfit, i});
  }
}

}  // namespace

void add_doubts(std::span<const Tie> ties, const Ties& centred, std::span<const Point<Drawing>> mapped,
                BaselineResult& out) {
  if (out.degrees_of_freedom == 0) {
    out.doubts.push_back({DoubtKind::no_redundancy});
  } else {
    const auto unchecked = std::count_if(out.rows.begin(), out.rows.end(),
                                         [](const TieRow& row) { return row.redundancy < kLeastRedundancy; });
    if (unchecked > 0) out.doubts.push_back({DoubtKind::unchecked, static_cast<double>(unchecked)});
  }
  doubt_reach(ties, mapped, out);
  if (out.options.scale_free) doubt_scale(out);
  if (has_outside(out)) {
    if (!out.options.scale_free) doubt_units(centred, out);
    doubt_missing(ties, out);
  }
}

}  // namespace tie_fit
}  // namespace deckmark
