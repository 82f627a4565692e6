#include <algorithm>
#include <cmath>
#include <numbers>

#include "adjust/dual.h"
#include "baseline/tie_wave.h"

namespace deckmark::tie_fit {

namespace {

/// Derivatives of a stated coordinate by A at scale 1.
double slope_by_turn(const Stated& t, double hand, double sine, double cosine) {
  return t.axis == TieAxis::x ? t.easting * cosine - t.northing * sine
                              : hand * (t.northing * cosine + t.easting * sine);
}

/// Design by tx, ty, A, s at a minimum.
Matrix design_at(const Ties& ties, bool mirrored, const Minimum& at, std::size_t unknowns) {
  const double hand = mirrored ? -1 : 1, sine = std::sin(at.azimuth), cosine = std::cos(at.azimuth);
  Matrix out(ties.stated.size(), unknowns);
  for (std::size_t i = 0; i < out.rows; ++i) {
    const Stated& t = ties.stated[i];
    const bool is_x = t.axis == TieAxis::x;
    out(i, is_x ? 0 : 1) = 1;
    out(i, 2) = slope_by_turn(t, hand, sine, cosine) / at.scale;
    if (unknowns < 4) continue;
    const double along =
        is_x ? t.easting * sine + t.northing * cosine : hand * (t.northing * sine - t.easting * cosine);
    out(i, 3) = -along / (at.scale * at.scale);
  }
  return out;
}

/// G = C A' P of least squares with P A given.
void put_estimator(const Matrix& covariance, const Matrix& weighted, Estimate& out) {
  out.estimator = Matrix(4, weighted.rows);
  for (std::size_t j = 0; j < weighted.cols; ++j)
    for (std::size_t i = 0; i < weighted.rows; ++i)
      for (std::size_t k = 0; k < weighted.cols; ++k)
        out.estimator(j, i) += covariance(j, k) * weighted(i, k);
}

/// Redundancies and sds of residuals, by G of the unknowns, A and V.
void put_quality(const EstimatorQuality& q, Estimate& out) {
  out.redundancy = q.redundancy;
  out.standardised = standardise(out.residuals, q);
  for (const double variance : q.residual_variance) out.residual_sds.push_back(std::sqrt(variance));
}

/// The first rows of a matrix.
Matrix rows_to(const Matrix& m, std::size_t rows) {
  Matrix out(rows, m.cols);
  std::copy_n(m.values.begin(), out.values.size(), out.values.begin());
  return out;
}

std::vector<double> sds_of(const Matrix& covariance) {
  std::vector<double> out;
  for (std::size_t i = 0; i < covariance.rows; ++i) out.push_back(std::sqrt(covariance(i, i)));
  return out;
}

/// What V makes of a minimum.
void put_joint(const Ties& ties, bool mirrored, const Minimum& at, const Matrix& design, Estimate& out) {
  const Matrix v = covariance_of(ties, mirrored, at.azimuth, at.scale);
  const Whitening& whitening = *at.whitening;
  put_estimator(at.solution.covariance, whitening.transposed(whitening(design)), out);
  out.sds = sds_of(v);
  put_quality(quality(rows_to(out.estimator, design.cols), design, v), out);
  const SingleErrors single = single_errors(design, whitening, out.residuals);
  for (std::size_t i = 0; i < single.errors.size(); ++i)
    out.errors.push_back(single.sds[i] > 0 ? std::optional(StatedError{Length::metres(single.errors[i]),
                                                                       Length::metres(single.sds[i])})
                                           : std::nullopt);
}

/// Weights of the mean over a family, by all stated coordinates; they sum to 1.
std::vector<double> mean_weights(const Ties& ties, TieAxis axis, const Matrix* covariance) {
  std::vector<double> out(ties.stated.size(), 0.0);
  const std::vector<std::size_t> rows = rows_of(ties, axis);
  if (!covariance) {
    for (const std::size_t i : rows) out[i] = 1 / (ties.sds[i] * ties.sds[i]) / ties.family(axis).weight;
    return out;
  }
  Matrix one(rows.size(), 1);
  std::fill(one.values.begin(), one.values.end(), 1.0);
  const Whitening whitening(part_of(*covariance, rows));
  const Matrix weighted = whitening.transposed(whitening(one));
  double sum = 0;
  for (const double w : weighted.values) sum += w;
  for (std::size_t i = 0; i < rows.size(); ++i) out[rows[i]] = weighted.values[i] / sum;
  return out;
}

/// The family of the held baseline, with V at the azimuth that it leads to.
struct Lead {
  FamilyFit fit;
  std::optional<Matrix> covariance;
};
Lead lead_of(const Ties& ties, bool mirrored, TieAxis axis, double azimuth) {
  Lead out;
  for (int round = 0; round < kMostRounds; ++round) {
    if (ties.places) out.covariance = covariance_of(ties, mirrored, azimuth, 1);
    out.fit = fit_family(ties, mirrored, axis, azimuth, out.covariance ? &*out.covariance : nullptr);
    if (!ties.places || !out.fit.solution.converged) break;
    const double moved = std::abs(out.fit.solution.parameters[1] - azimuth);
    if (moved <= kSettledTurn) break;
    azimuth = out.fit.solution.parameters[1];
  }
  return out;
}

/// Parameters of the fitted transform by those of the estimate, times its estimator, times the slopes of what
/// is computed by the found places: where a place moves, what is stated of it moves the other way.
Matrix gain_of(const Ties& centred, const Estimate& estimate, bool mirrored, const double (&j)[4][4]) {
  const auto by_x = slopes_by_place(TieAxis::x, mirrored, estimate.azimuth, estimate.scale),
             by_y = slopes_by_place(TieAxis::y, mirrored, estimate.azimuth, estimate.scale);
  Matrix out(4, 2 * centred.count);
  for (std::size_t i = 0; i < centred.stated.size(); ++i) {
    const Stated& t = centred.stated[i];
    const auto& by = t.axis == TieAxis::x ? by_x : by_y;
    for (std::size_t a = 0; a < 4; ++a) {
      double moved = 0;
      for (std::size_t k = 0; k < 4; ++k) moved += j[a][k] * estimate.estimator(k, i);
      out(a, 2 * t.tie) -= moved * by[0];
      out(a, 2 * t.tie + 1) -= moved * by[1];
    }
  }
  return out;
}

}  // namespace

FamilyFit fit_family(const Ties& ties, bool mirrored, TieAxis axis, double azimuth,
                     const Matrix* covariance) {
  using D = Dual<2>;
  const double hand = mirrored ? -1 : 1;
  const std::vector<std::size_t> rows = rows_of(ties, axis);
  std::vector<double> values, sds;
  for (const std::size_t i : rows) {
    values.push_back(ties.values[i]);
    sds.push_back(ties.sds[i]);
  }
  const Model model = [&](std::span<const double> p, std::span<double> computed, Matrix& design) {
    const D shift = D::unknown(p[0], 0), a = D::unknown(p[1], 1);
    const D sine = sin(a), cosine = cos(a);
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const Stated& t = ties.stated[rows[i]];
      const D at = axis == TieAxis::x ? shift + t.easting * sine + t.northing * cosine
                                      : shift + hand * (t.northing * sine - t.easting * cosine);
      computed[i] = at.value;
      for (std::size_t j = 0; j < 2; ++j) design(i, j) = at.slope[j];
    }
  };
  std::optional<Whitening> whitening;
  if (covariance) {
    whitening.emplace(part_of(*covariance, rows));
    azimuth = minimum_near(wave_of(ties, rows, hand, *whitening), azimuth);
  }
  const std::vector<double> from{0, azimuth};
  FamilyFit out{whitening ? solve_nonlinear(values, *whitening, from, model)
                          : solve_nonlinear(values, sds, from, model),
                Matrix(2, ties.stated.size())};
  const NonlinearSolution& s = out.solution;
  if (!s.converged) return out;

  // G = C A' P.
  const double sine = std::sin(s.parameters[1]), cosine = std::cos(s.parameters[1]);
  Matrix design(rows.size(), 2);
  for (std::size_t i = 0; i < rows.size(); ++i) {
    design(i, 0) = 1;
    design(i, 1) = slope_by_turn(ties.stated[rows[i]], hand, sine, cosine);
  }
  const Matrix weighted = whitening ? whitening->transposed((*whitening)(design)) : design;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const double w = whitening ? 1 : 1 / (sds[i] * sds[i]);
    for (std::size_t k = 0; k < 2; ++k)
      out.estimator(k, rows[i]) =
          w * (s.covariance(k, 0) * weighted(i, 0) + s.covariance(k, 1) * weighted(i, 1));
  }
  return out;
}

Estimate shared_estimate(const Ties& ties, bool mirrored, const Minimum& at, bool scale_free) {
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
  Matrix design = design_at(ties, mirrored, at, unknowns);
  if (ties.places) {
    out.square_sum = at.square_sum;
    put_joint(ties, mirrored, at, design, out);
    return out;
  }
  out.sds = ties.sds;
  out.redundancy = s.redundancy;
  out.standardised = s.standardised;
  for (std::size_t i = 0; i < ties.sds.size(); ++i) {
    out.residual_sds.push_back(ties.sds[i] * std::sqrt(s.redundancy[i]));
    out.square_sum += std::pow(out.residuals[i] / ties.sds[i], 2);
    for (std::size_t k = 0; k < unknowns; ++k) design(i, k) /= ties.sds[i] * ties.sds[i];
  }
  put_estimator(s.covariance, design, out);
  return out;
}

Estimate held_estimate(const Ties& ties, bool mirrored, Hold hold, const Minimum& start) {
  const TieAxis leads = hold == Hold::x ? TieAxis::y : TieAxis::x;  // the y-ties carry the X baseline
  const TieAxis follows = hold == Hold::x ? TieAxis::x : TieAxis::y;
  const std::size_t lead_shift = hold == Hold::x ? 1 : 0, other_shift = 1 - lead_shift;
  const auto [family, covariance] = lead_of(ties, mirrored, leads, start.azimuth);
  const NonlinearSolution& lead = family.solution;
  Estimate out;
  if (!lead.converged || std::sqrt(lead.covariance(1, 1)) > kOpenTurn) return out;
  out.determined = true;
  out.azimuth = lead.parameters[1];

  // Design by tx, ty, A, and the estimator G row by row.
  const std::size_t n = ties.stated.size();
  Minimum at;
  at.azimuth = out.azimuth;
  const Matrix design = design_at(ties, mirrored, at, 3);
  const std::vector<double> centred = residuals_at(ties, mirrored, at);
  const std::vector<double> mean = mean_weights(ties, follows, covariance ? &*covariance : nullptr);
  Matrix g(3, n);
  double other_value = 0, other_slope = 0;
  for (std::size_t i = 0; i < n; ++i) {
    g(lead_shift, i) = family.estimator(0, i);
    g(2, i) = family.estimator(1, i);
    if (ties.stated[i].axis == leads) continue;
    g(other_shift, i) = mean[i];
    other_value += mean[i] * centred[i];
    other_slope += mean[i] * design(i, 2);
  }
  for (std::size_t i = 0; i < n; ++i)
    if (ties.stated[i].axis == leads) g(other_shift, i) = -other_slope * g(2, i);
  (hold == Hold::x ? out.ty : out.tx) = lead.parameters[0];
  (hold == Hold::x ? out.tx : out.ty) = other_value;

  const EstimatorQuality q = covariance ? quality(g, design, *covariance) : quality(g, design, ties.sds);
  at.tx = out.tx;
  at.ty = out.ty;
  out.residuals = residuals_at(ties, mirrored, at);
  put_quality(q, out);
  out.sds = covariance ? sds_of(*covariance) : ties.sds;
  if (covariance)
    out.square_sum = Whitening(*covariance).square_sum(out.residuals);
  else
    for (std::size_t i = 0; i < n; ++i) out.square_sum += std::pow(out.residuals[i] / ties.sds[i], 2);
  for (std::size_t j = 0; j < 3; ++j)
    for (std::size_t k = 0; k < 3; ++k) out.covariance(j, k) = q.parameter_covariance(j, k);
  out.estimator = Matrix(4, n);
  std::copy(g.values.begin(), g.values.end(), out.estimator.values.begin());
  return out;
}

void assemble(std::span<const Tie> ties, const Ties& centred, const Estimate& estimate, bool mirrored,
              BaselineResult& result) {
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
  result.fit = out;
  result.gain = gain_of(centred, estimate, mirrored, j);
}

}  // namespace deckmark::tie_fit
