#include "baseline/squareness.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "baseline/tie_fit.h"

namespace deckmark {

namespace {

struct Direction {
  bool open = true;
  double azimuth = 0, variance = 0;  // of +X as this family sees it, radians
  double shift = 0;                  // of the family, as in tie_fit
  Matrix estimator{};                // shift and azimuth by all stated coordinates
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

Direction direction_by(TieAxis family, const tie_fit::Ties& ties, bool mirrored, double azimuth,
                       const Matrix* covariance) {
  if (ties.family(family).count < 2 || turn_sd(family, ties, azimuth) > tie_fit::kOpenTurn) return {};
  tie_fit::FamilyFit fit = tie_fit::fit_family(ties, mirrored, family, azimuth, covariance);
  const NonlinearSolution& s = fit.solution;
  if (!s.converged || std::sqrt(s.covariance(1, 1)) > tie_fit::kOpenTurn) return {};
  return {false, s.parameters[1], s.covariance(1, 1), s.parameters[0], std::move(fit.estimator)};
}

/// Covariance of the two directions, which found places in common bring.
double shared_by(const Direction& x, const Direction& y, const Matrix& covariance) {
  double sum = 0;
  for (std::size_t i = 0; i < covariance.rows; ++i)
    for (std::size_t j = 0; j < covariance.cols; ++j)
      sum += x.estimator(1, i) * covariance(i, j) * y.estimator(1, j);
  return sum;
}

/// What moves at a drawing point, in drawing axes: its x as the x-ties alone have it and its y as the y-ties
/// alone have it, at the place where the fit in use puts it, less its own.
class OwnAxes {
 public:
  OwnAxes(const tie_fit::Ties& centred, const Point<Site>& first, const FittedTransform& fit,
          const Direction& x, const Direction& y)
      : parts_(fit.site_from_drawing.parts()), by_y_(x), by_x_(y) {
    const double hand = parts_.mirrored ? -1 : 1;
    const double azimuth = Angle::degrees(parts_.azimuth_x.degrees()).radians();
    const double turn_x = azimuth - by_y_.azimuth, turn_y = azimuth - by_x_.azimuth;
    // cos - 1 without losing its digits.
    xx_ = -2 * std::pow(std::sin(turn_y / 2), 2);
    xy_ = hand * std::sin(turn_y);
    yx_ = -hand * std::sin(turn_x);
    yy_ = -2 * std::pow(std::sin(turn_x / 2), 2);
    // At the drawing centre, which the fit puts on the site centre.
    const Vec<Site> offset = parts_.site_centre - first;
    const auto own = [&](const tie_fit::Family& f, double shift, double s, double c) {
      const double e = (offset.by.easting.metres() - f.easting) / parts_.scale,
                   n = (offset.by.northing.metres() - f.northing) / parts_.scale;
      return f.value + shift + e * s + n * c;
    };
    const double sx = std::sin(by_x_.azimuth), cx = std::cos(by_x_.azimuth);
    const double sy = std::sin(by_y_.azimuth), cy = std::cos(by_y_.azimuth);
    x0_ = own(centred.x, by_x_.shift, sx, cx) - (parts_.drawing_centre.at.x.metres() - centred.first_x);
    y0_ = own(centred.y, by_y_.shift, -hand * cy, hand * sy) -
          (parts_.drawing_centre.at.y.metres() - centred.first_y);
    // Square distance on site of a point whose own x and y change by dx, dy where the axes are not square.
    const double skew = std::sin(by_x_.azimuth - by_y_.azimuth) * hand;
    square_ = parts_.scale * parts_.scale / (1 - skew * skew);
    mixed_ = 2 * skew * square_;
  }

  /// Square of what moves on site, metres.
  double square_at(const Point<Drawing>& p) const {
    const double x = (p.at.x - parts_.drawing_centre.at.x).metres(),
                 y = (p.at.y - parts_.drawing_centre.at.y).metres();
    const double dx = x0_ + xx_ * x + xy_ * y, dy = y0_ + yx_ * x + yy_ * y;
    return square_ * (dx * dx + dy * dy) + mixed_ * dx * dy;
  }

 private:
  const SimilarityParts& parts_;
  Direction by_y_, by_x_;
  double xx_ = 0, xy_ = 0, yx_ = 0, yy_ = 0, x0_ = 0, y0_ = 0, square_ = 1, mixed_ = 0;
};

void put_extent(TieView ties, const BaselineResult& fit, SquarenessResult& out) {
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

SquarenessResult squareness(TieView ties, const BaselineResult& fit, std::span<const Point<Drawing>> mapped,
                            const SquarenessOptions& options) {
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
  std::optional<Matrix> joint;  // lengths are divided by the scale, and their covariance likewise
  if (centred.places) joint = tie_fit::covariance_of(centred, parts.mirrored, azimuth, parts.scale);
  const Matrix* covariance = joint ? &*joint : nullptr;
  const Direction x = direction_by(TieAxis::y, centred, parts.mirrored, azimuth, covariance);
  const Direction y = direction_by(TieAxis::x, centred, parts.mirrored, azimuth, covariance);
  out.x_open = x.open;
  out.y_open = y.open;
  if (x.open || y.open) return out;

  // +Y lies 90 degrees counter-clockwise of what the x-ties take for +X (clockwise where mirrored).
  const double turn = parts.mirrored ? y.azimuth - x.azimuth : x.azimuth - y.azimuth;
  out.deviation = wrapped(Angle::radians(turn));
  out.included = Angle::degrees(90) + *out.deviation;
  const double shared = joint ? 2 * shared_by(x, y, *joint) : 0;
  out.sd = Angle::radians(std::sqrt(std::max(x.variance + y.variance - shared, 0.0)));
  out.deviation_over = out.shorter * out.deviation->radians();
  out.sd_over = out.shorter * out.sd->radians();
  if (*out.sd_over <= out.limit.permitted) out.verdict = judge(*out.deviation_over, out.limit.permitted);

  const OwnAxes own(centred, ties.front().at, *fit.fit, x, y);
  double most = -1;
  for (std::size_t i = 0; i < mapped.size(); ++i) {
    const double square = own.square_at(mapped[i]);
    if (square <= most) continue;
    most = square;
    out.worst = i;
  }
  if (out.worst) out.at_worst = Length::metres(std::sqrt(most));
  return out;
}

void put_worst(std::span<const Point<Drawing>> mapped, SquarenessResult& square) {
  Length reach = Length::metres(-1);
  for (std::size_t i = 0; i < mapped.size(); ++i) {
    const Length r = std::max(abs(mapped[i].at.x), abs(mapped[i].at.y));
    if (r <= reach) continue;
    reach = r;
    square.worst = i;
  }
  if (square.worst) square.at_worst = reach * std::abs(square.deviation->radians());
}

}  // namespace deckmark
