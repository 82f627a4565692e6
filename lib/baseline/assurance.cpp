#include "baseline/assurance.h"

#include "baseline/tie_fit.h"

namespace deckmark {

namespace {

constexpr double kPower = 0.8, kAlpha = 0.001;

ErrorEllipse ellipse_95(const FittedTransform& fit, const Point<Drawing>& p) {
  ErrorEllipse e = error_ellipse(fit.covariance_at(p));
  e.semi_major = e.semi_major * kEllipse95;
  e.semi_minor = e.semi_minor * kEllipse95;
  return e;
}

}  // namespace

std::optional<Length> detectable_error(const TieRow& row) {
  if (row.error) return row.error->sd * noncentrality(kAlpha, kPower);
  if (!(row.redundancy > 0) || !row.standardised) return std::nullopt;
  return row.residual_sd * (noncentrality(kAlpha, kPower) / row.redundancy);
}

std::optional<Length> known_to(const TieRow& row) {
  if (row.error) return normal_quantile(0.975) * row.error->sd;
  if (!(row.redundancy > 0) || !row.standardised) return std::nullopt;
  return normal_quantile(0.975) * row.residual_sd / row.redundancy;
}

Assurance assurance(const BaselineResult& fit, std::span<const Point<Drawing>> mapped) {
  Assurance out;
  if (fit.variance_factor) out.variance = test_variance(*fit.variance_factor, fit.degrees_of_freedom, 0.05);
  for (std::size_t i = 0; i < fit.rows.size(); ++i) {
    if (fit.rows[i].redundancy < tie_fit::kLeastRedundancy) {
      ++out.unchecked;
      continue;
    }
    const auto seen = detectable_error(fit.rows[i]);
    if (!seen || (out.detectable && *seen <= *out.detectable)) continue;
    out.least_seen = i;
    out.detectable = seen;
  }
  const Point<Drawing> origin{{.x = Length::metres(0), .y = Length::metres(0)}};
  out.origin = ellipse_95(*fit.fit, origin);
  Length reach = Length::metres(-1);
  for (std::size_t i = 0; i < mapped.size(); ++i) {
    const Length r = distance(origin, mapped[i]);
    if (r <= reach) continue;
    reach = r;
    out.farthest = i;
  }
  if (out.farthest) out.at_farthest = ellipse_95(*fit.fit, mapped[*out.farthest]);
  return out;
}

}  // namespace deckmark
