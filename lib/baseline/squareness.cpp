#include "baseline/squareness.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "baseline/tie_fit.h"

namespace deckmark {

namespace {

struct Direction {
  bool open = true;
  double azimuth = 0, variance = 0;  // of +X as this family sees it, radians
};

/// sd of the direction that a family fixes, from how far its ties reach along their own baseline at the
/// azimuth of the common fit. Ties that lie across it fix nothing, however the family's own fit makes use of
/// their errors.
double turn_sd(TieAxis family, const tie_fit::Ties& ties, double azimuth) {
  double weight = 0;
  for (const tie_fit::Stated& t : ties.stated) {
    if (t.axis != family) continue;
    const double along_x = t.easting * std::sin(azimuth) + t.northing * std::cos(azimuth);
    const double along_y = t.northing * std::sin(azimuth) - t.easting * std::cos(azimuth);
    const double lever = family == TieAxis::x ? along_y : along_x;
    weight += lever * lever / (t.sd * t.sd);
  }
  return weight > 0 ? 1 / std::sqrt(weight) : std::numeric_limits<double>::infinity();
}

Direction direction_by(TieAxis family, const tie_fit::Ties& ties, bool mirrored, double azimuth) {
  if (ties.family(family).count < 2 || turn_sd(family, ties, azimuth) > tie_fit::kOpenTurn) return {};
  const NonlinearSolution s = tie_fit::fit_family(ties, mirrored, family, azimuth);
  if (!s.converged || std::sqrt(s.covariance(1, 1)) > tie_fit::kOpenTurn) return {};
  return {false, s.parameters[1], s.covariance(1, 1)};
}

void put_extent(std::span<const Tie> ties, const BaselineResult& fit, SquarenessResult& out) {
  std::vector<Point<Drawing>> places;
  for (const Tie& t : ties) places.push_back(place_of(t, fit));
  const auto corners = extent_corners(places);
  const Vec<Drawing> extent = corners[2] - corners[0];
  out.shorter_axis = extent.by.x <= extent.by.y ? TieAxis::x : TieAxis::y;
  out.shorter = std::min(extent.by.x, extent.by.y);
}

}  // namespace

Point<Drawing> place_of(const Tie& tie, const BaselineResult& fit) {
  if (tie.x && tie.y) return {{.x = *tie.x, .y = *tie.y}};
  const Point<Drawing> found = fit.fit->site_from_drawing.inverse()(tie.at);
  return {{.x = tie.x.value_or(found.at.x), .y = tie.y.value_or(found.at.y)}};
}

SquarenessResult squareness(std::span<const Tie> ties, const BaselineResult& fit,
                            std::span<const Point<Drawing>> mapped, const SquarenessOptions& options) {
  const SimilarityParts& parts = fit.fit->site_from_drawing.parts();
  SquarenessResult out;
  put_extent(ties, fit, out);
  out.limit = square_limit(options.setout, out.shorter, options.tolerance);

  tie_fit::Ties centred = tie_fit::centre(ties);
  for (tie_fit::Stated& t : centred.stated) {
    t.easting /= parts.scale;
    t.northing /= parts.scale;
  }
  const double azimuth = Angle::degrees(parts.azimuth_x.degrees()).radians();
  const Direction x = direction_by(TieAxis::y, centred, parts.mirrored, azimuth);
  const Direction y = direction_by(TieAxis::x, centred, parts.mirrored, azimuth);
  out.x_open = x.open;
  out.y_open = y.open;
  if (x.open || y.open) return out;

  // +Y lies 90 degrees counter-clockwise of what the x-ties take for +X (clockwise where mirrored).
  const double turn = parts.mirrored ? y.azimuth - x.azimuth : x.azimuth - y.azimuth;
  out.deviation = wrapped(Angle::radians(turn));
  out.included = Angle::degrees(90) + *out.deviation;
  out.sd = Angle::radians(std::sqrt(x.variance + y.variance));
  out.deviation_over = out.shorter * out.deviation->radians();
  out.sd_over = out.shorter * out.sd->radians();
  if (*out.sd_over <= out.limit.permitted) out.verdict = judge(*out.deviation_over, out.limit.permitted);

  const Point<Drawing> crossing{{.x = Length::metres(0), .y = Length::metres(0)}};
  for (std::size_t i = 0; i < mapped.size(); ++i) {
    const Length reach = distance(crossing, mapped[i]);
    if (out.at_farthest && reach <= *out.at_farthest) continue;
    out.farthest = i;
    out.at_farthest = reach;
  }
  if (out.at_farthest) out.at_farthest = *out.at_farthest * out.deviation->radians();
  return out;
}

}  // namespace deckmark
