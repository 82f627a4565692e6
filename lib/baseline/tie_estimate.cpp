#include <cmath>
#include <numbers>

#include "adjust/dual.h"
#include "baseline/tie_fit.h"

namespace deckmark::tie_fit {

namespace {

/// Derivatives of a stated coordinate by A at scale 1.
double slope_by_turn(const Stated& t, double hand, double sine, double cosine) {
  return t.axis == TieAxis::x ? t.easting * cosine - t.northing * sine
                              : hand * (t.northing * cosine + t.easting * sine);
}

}  // namespace

NonlinearSolution fit_family(const Ties& ties, bool mirrored, TieAxis axis, double azimuth) {
  using D = Dual<2>;
  const double hand = mirrored ? -1 : 1;
  std::vector<const Stated*> own;
  std::vector<double> values, sds;
  for (const Stated& t : ties.stated) {
    if (t.axis != axis) continue;
    own.push_back(&t);
    values.push_back(t.value);
    sds.push_back(t.sd);
  }
  const Model model = [&](std::span<const double> p, std::span<double> computed, Matrix& design) {
    const D shift = D::unknown(p[0], 0), a = D::unknown(p[1], 1);
    const D sine = sin(a), cosine = cos(a);
    for (std::size_t i = 0; i < own.size(); ++i) {
      const Stated& t = *own[i];
      const D at = axis == TieAxis::x ? shift + t.easting * sine + t.northing * cosine
                                      : shift + hand * (t.northing * sine - t.easting * cosine);
      computed[i] = at.value;
      for (std::size_t j = 0; j < 2; ++j) design(i, j) = at.slope[j];
    }
  };
  const std::vector<double> from{0, azimuth};
  return solve_nonlinear(values, sds, from, model);
}

Estimate shared_estimate(const Ties& ties, const Minimum& at, bool scale_free) {
  const NonlinearSolution& s = at.solution;
  Estimate out;
  out.determined = at.determined;
  if (!at.determined) return out;
  out.tx = at.tx;
  out.ty = at.ty;
  out.azimuth = at.azimuth;
  out.scale = at.scale;
  const std::size_t unknowns = scale_free ? 4 : 3;
  for (std::size_t j = 0; j < unknowns; ++j)
    for (std::size_t k = 0; k < unknowns; ++k) out.covariance(j, k) = s.covariance(j, k);
  out.residuals = s.residuals;
  out.redundancy = s.redundancy;
  out.standardised = s.standardised;
  for (std::size_t i = 0; i < ties.sds.size(); ++i)
    out.residual_sds.push_back(ties.sds[i] * std::sqrt(s.redundancy[i]));
  return out;
}

Estimate held_estimate(const Ties& ties, bool mirrored, Hold hold, const Minimum& start) {
  const TieAxis leads = hold == Hold::x ? TieAxis::y : TieAxis::x;  // the y-ties carry the X baseline
  const std::size_t lead_shift = hold == Hold::x ? 1 : 0, other_shift = 1 - lead_shift;
  const double hand = mirrored ? -1 : 1;
  const NonlinearSolution lead = fit_family(ties, mirrored, leads, start.azimuth);
  Estimate out;
  if (!lead.converged || std::sqrt(lead.covariance(1, 1)) > kOpenTurn) return out;
  out.determined = true;
  out.azimuth = lead.parameters[1];
  const double sine = std::sin(out.azimuth), cosine = std::cos(out.azimuth);

  // Design by tx, ty, A, and the estimator G row by row.
  const std::size_t n = ties.stated.size();
  Matrix design(n, 3), g(3, n);
  double other_value = 0, other_slope = 0;
  Minimum at;
  at.azimuth = out.azimuth;
  const std::vector<double> centred = residuals_at(ties, mirrored, at);
  const double other_weight = ties.family(hold == Hold::x ? TieAxis::x : TieAxis::y).weight;
  for (std::size_t i = 0; i < n; ++i) {
    const Stated& t = ties.stated[i];
    const double w = 1 / (t.sd * t.sd);
    design(i, t.axis == TieAxis::x ? 0 : 1) = 1;
    design(i, 2) = slope_by_turn(t, hand, sine, cosine);
    if (t.axis == leads) {
      g(lead_shift, i) = w * (lead.covariance(0, 0) + lead.covariance(0, 1) * design(i, 2));
      g(2, i) = w * (lead.covariance(1, 0) + lead.covariance(1, 1) * design(i, 2));
    } else {
      g(other_shift, i) = w / other_weight;
      other_value += w / other_weight * centred[i];
      other_slope += w / other_weight * design(i, 2);
    }
  }
  for (std::size_t i = 0; i < n; ++i)
    if (ties.stated[i].axis == leads) g(other_shift, i) = -other_slope * g(2, i);
  (hold == Hold::x ? out.ty : out.tx) = lead.parameters[0];
  (hold == Hold::x ? out.tx : out.ty) = other_value;

  const EstimatorQuality q = quality(g, design, ties.sds);
  at.tx = out.tx;
  at.ty = out.ty;
  out.residuals = residuals_at(ties, mirrored, at);
  out.redundancy = q.redundancy;
  out.standardised = standardise(out.residuals, q);
  for (const double variance : q.residual_variance) out.residual_sds.push_back(std::sqrt(variance));
  for (std::size_t j = 0; j < 3; ++j)
    for (std::size_t k = 0; k < 3; ++k) out.covariance(j, k) = q.parameter_covariance(j, k);
  return out;
}

FittedTransform assemble(std::span<const Tie> ties, const Ties& centred, const Estimate& estimate,
                         bool mirrored) {
  const double hand = mirrored ? -1 : 1, s = estimate.scale;
  const double sine = std::sin(estimate.azimuth), cosine = std::cos(estimate.azimuth);
  double mean_e = 0, mean_n = 0;
  const Point<Site> first = ties.front().at;
  for (const Tie& t : ties) {
    const Vec<Site> offset = t.at - first;
    mean_e += offset.by.easting.metres() / static_cast<double>(ties.size());
    mean_n += offset.by.northing.metres() / static_cast<double>(ties.size());
  }
  Point<Site> site_centre{{.northing = first.at.northing + Length::metres(mean_n),
                           .easting = first.at.easting + Length::metres(mean_e)}};
  const Vec<Site> offset = site_centre - first;  // as rounded
  const double xe = offset.by.easting.metres() - centred.x.easting,
               xn = offset.by.northing.metres() - centred.x.northing;
  const double ye = offset.by.easting.metres() - centred.y.easting,
               yn = offset.by.northing.metres() - centred.y.northing;
  const double along = xe * sine + xn * cosine, across = hand * (yn * sine - ye * cosine);
  const double x = centred.x.value + estimate.tx + along / s, y = centred.y.value + estimate.ty + across / s;
  const Point<Drawing> drawing_centre{{.x = Length::metres(centred.first_x) + Length::metres(x),
                                       .y = Length::metres(centred.first_y) + Length::metres(y)}};
  // What rounding the drawing centre moved is put into the site centre.
  const double dx = (drawing_centre.at.x.metres() - centred.first_x) - x;
  const double dy = (drawing_centre.at.y.metres() - centred.first_y) - y;
  site_centre.at.easting += Length::metres(s * (dx * sine - hand * dy * cosine));
  site_centre.at.northing += Length::metres(s * (dx * cosine + hand * dy * sine));

  // Site centre by tx, ty, A, s: where the drawing centre goes when its own computed x, y change.
  const double by[2][4] = {{1, 0, (xe * cosine - xn * sine) / s, -along / (s * s)},
                           {0, 1, hand * (yn * cosine + ye * sine) / s, -across / (s * s)}};
  double j[4][4] = {{0, 0, 0, 0}, {0, 0, 0, 0}, {0, 0, 1, 0}, {0, 0, 0, 1}};
  for (std::size_t k = 0; k < 4; ++k) {
    j[0][k] = -s * (by[0][k] * sine - hand * by[1][k] * cosine);
    j[1][k] = -s * (by[0][k] * cosine + hand * by[1][k] * sine);
  }
  FittedTransform out{claim({drawing_centre, site_centre,
                             Azimuth::degrees(estimate.azimuth * 180 / std::numbers::pi), s, mirrored}),
                      {}};
  for (std::size_t a = 0; a < 4; ++a)
    for (std::size_t b = 0; b < 4; ++b)
      for (std::size_t k = 0; k < 4; ++k)
        for (std::size_t l = 0; l < 4; ++l)
          out.covariance[a][b] += j[a][k] * estimate.covariance(k, l) * j[b][l];
  return out;
}

}  // namespace deckmark::tie_fit
