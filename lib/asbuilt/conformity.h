#pragma once
/// How likely a true value conforms, given what was measured.

#include <optional>

#include "measure/ellipse.h"

namespace deckmark {

/// Probability that the true value lies within the limits, either of which may be missing, for a measured
/// value with a normal standard uncertainty. `sd` of zero: 1 or 0. Source   JCGM 106:2012, 7.4 (two limits)
/// and 7.3.3 (one).
double conformity_in_interval(double measured, double sd, std::optional<double> lower,
                              std::optional<double> upper);

/// Probability that the true plan position lies within `radius` of the design, for a measured offset with the
/// covariance of its measurement: the bivariate normal integrated over the circle, not one-dimensional.
///
/// Method    along the minor axis by Gauss-Legendre (30 points), across it in closed form.
/// Accuracy  1e-6, for ellipses down to a line; a covariance of zero gives 1 or 0 (at the limit: 1).
/// Source    for a circular covariance the integral is the Rice distribution, 1 - Q1(offset/sd, radius/sd).
double conformity_in_circle(const Vec<Site>& offset, const PlanCovariance<Site>& covariance, Length radius);

}  // namespace deckmark
