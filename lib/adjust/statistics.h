#pragma once
/// Distributions. Probabilities are from 0 to 1, quantiles of the lower tail.

#include <cstddef>

namespace deckmark {

/// Sds on both sides that hold 95 of 100, as tables print it.
inline constexpr double kSds95 = 1.96;

double normal_cdf(double z);
double normal_quantile(double probability);
double student_cdf(double t, double degrees_of_freedom);
double student_quantile(double probability, double degrees_of_freedom);
double chi_squared_cdf(double value, double degrees_of_freedom);
double chi_squared_quantile(double probability, double degrees_of_freedom);
double fisher_cdf(double value, double numerator, double denominator);
/// 1 - cdf without losing small tails.
double fisher_upper_tail(double value, double numerator, double denominator);
double chi_squared_upper_tail(double value, double degrees_of_freedom);
double fisher_quantile(double probability, double numerator, double denominator);
/// Critical value of a residual standardised by the estimated sd of unit weight (Pope), two-sided.
/// tau = sqrt(r) t / sqrt(r - 1 + t^2), t = Student quantile with r - 1 degrees of freedom (Geodetski vestnik
/// 62/2, 2018); 1 for r = 1.
double tau_critical(double two_sided_alpha, std::size_t degrees_of_freedom);
/// Scale of a one-sigma error ellipse that holds the probability: sqrt(-2 ln(1 - p)).
double ellipse_factor(double probability);
/// Shift of a standardised residual that a test of size alpha finds with the given power: 4.132 for 0.001 and
/// 0.8.
double noncentrality(double two_sided_alpha, double power);

/// Limit of a standardised residual where so many observations of one adjustment are checked: 3.29 (alpha
/// 0.001, two-sided), or the two-sided quantile of 0.99^(1/checked) where that is larger, so that of a
/// hundred adjustments without fault one accuses anything.
double wrong_limit(std::size_t checked);

/// Global test of the variance factor, two-sided.
struct VarianceTest {
  double factor = 0, lower = 0, upper = 0;  ///< limits of the factor
  bool too_low = false, too_high = false;
};
VarianceTest test_variance(double variance_factor, std::size_t degrees_of_freedom, double two_sided_alpha);

}  // namespace deckmark
