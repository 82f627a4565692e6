#include "adjust/statistics.h"

#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

#include "adjust/solve.h"

namespace deckmark {

namespace bm = boost::math;

namespace {

/// Of adjustments without fault, the share in which nothing is accused.
constexpr double kNoneAccused = 0.99;

}  // namespace

double normal_cdf(double z) { return bm::cdf(bm::normal(), z); }
double normal_quantile(double probability) { return bm::quantile(bm::normal(), probability); }

double student_cdf(double t, double degrees_of_freedom) {
  return bm::cdf(bm::students_t(degrees_of_freedom), t);
}
double student_quantile(double probability, double degrees_of_freedom) {
  return bm::quantile(bm::students_t(degrees_of_freedom), probability);
}

double chi_squared_cdf(double value, double degrees_of_freedom) {
  return bm::cdf(bm::chi_squared(degrees_of_freedom), value);
}
double chi_squared_upper_tail(double value, double degrees_of_freedom) {
  return bm::cdf(bm::complement(bm::chi_squared(degrees_of_freedom), value));
}
double chi_squared_quantile(double probability, double degrees_of_freedom) {
  return bm::quantile(bm::chi_squared(degrees_of_freedom), probability);
}

double fisher_cdf(double value, double numerator, double denominator) {
  return bm::cdf(bm::fisher_f(numerator, denominator), value);
}
double fisher_upper_tail(double value, double numerator, double denominator) {
  return bm::cdf(bm::complement(bm::fisher_f(numerator, denominator), value));
}
double fisher_quantile(double probability, double numerator, double denominator) {
  return bm::quantile(bm::fisher_f(numerator, denominator), probability);
}

double tau_critical(double two_sided_alpha, std::size_t degrees_of_freedom) {
  const auto r = static_cast<double>(degrees_of_freedom);
  if (degrees_of_freedom < 2) return 1.0;
  const double t = student_quantile(1 - two_sided_alpha / 2, r - 1);
  return std::sqrt(r) * t / std::sqrt(r - 1 + t * t);
}

double ellipse_factor(double probability) { return std::sqrt(-2 * std::log1p(-probability)); }

double noncentrality(double two_sided_alpha, double power) {
  // The far tail adds under 1e-9 at any usual pair, so that the sum of the two quantiles is the answer.
  return normal_quantile(1 - two_sided_alpha / 2) + normal_quantile(power);
}

double wrong_limit(std::size_t checked) {
  if (checked == 0) return kWrongLimit;
  const double each = std::pow(kNoneAccused, 1.0 / static_cast<double>(checked));
  return std::max(kWrongLimit, normal_quantile((1 + each) / 2));
}

VarianceTest test_variance(double variance_factor, std::size_t degrees_of_freedom, double two_sided_alpha) {
  const auto r = static_cast<double>(degrees_of_freedom);
  VarianceTest out;
  out.factor = variance_factor;
  out.lower = chi_squared_quantile(two_sided_alpha / 2, r) / r;
  out.upper = chi_squared_quantile(1 - two_sided_alpha / 2, r) / r;
  out.too_low = variance_factor < out.lower;
  out.too_high = variance_factor > out.upper;
  return out;
}

}  // namespace deckmark
