#include "asbuilt/conformity.h"

#include <algorithm>
#include <array>
#include <boost/math/quadrature/gauss.hpp>
#include <cmath>

#include "adjust/statistics.h"
#include "asbuilt/options.h"
#include "measure/verdict.h"

namespace deckmark {

namespace {

constexpr int kPoints = 30;
constexpr double kReach = 6;  // sds beyond which nothing is left

/// Standard normal integral between two values, right in both tails.
double between(double from, double to) {
  constexpr double kRoot2 = 1.4142135623730950488;
  if (from > 0) return 0.5 * (std::erfc(from / kRoot2) - std::erfc(to / kRoot2));
  return 0.5 * (std::erfc(-to / kRoot2) - std::erfc(-from / kRoot2));
}

double density(double z) {
  constexpr double kPeak = 0.39894228040143267794;  // 1 / sqrt(2 pi)
  return kPeak * std::exp(-0.5 * z * z);
}

/// Bivariate normal with independent axes (`wide` the larger sd) over a circle about the origin. Along the
/// slim axis by steps, since across it the wide one changes slowly.
double in_circle(double mean_wide, double mean_slim, double wide, double slim, double radius) {
  const auto slice = [&](double v) {
    const double half = std::sqrt(std::max(0.0, radius * radius - v * v));
    return between((-half - mean_wide) / wide, (half - mean_wide) / wide);
  };
  if (slim <= 0) return std::abs(mean_slim) <= radius ? slice(mean_slim) : 0;
  const double from = std::max(-radius, mean_slim - kReach * slim),
               to = std::min(radius, mean_slim + kReach * slim);
  if (from >= to) return 0;
  // v = radius sin t takes the square root's steep ends away.
  const double first = std::asin(std::clamp(from / radius, -1.0, 1.0)),
               last = std::asin(std::clamp(to / radius, -1.0, 1.0));
  const double sum = boost::math::quadrature::gauss<double, kPoints>::integrate(
      [&](double t) {
        const double v = radius * std::sin(t);
        return density((v - mean_slim) / slim) / slim * slice(v) * radius * std::cos(t);
      },
      first, last);
  return std::clamp(sum, 0.0, 1.0);
}

}  // namespace

std::string_view level_word(AsbuiltLevel level) {
  return kAsbuiltLevelWords[static_cast<std::size_t>(level)];
}

double conformity_in_interval(double measured, double sd, std::optional<double> lower,
                              std::optional<double> upper) {
  if (sd <= 0) return (!lower || measured >= *lower) && (!upper || measured <= *upper) ? 1 : 0;
  return between(lower ? (*lower - measured) / sd : -INFINITY, upper ? (*upper - measured) / sd : INFINITY);
}

double conformity_in_circle(const Vec<Site>& offset, const PlanCovariance<Site>& covariance, Length radius) {
  const ErrorEllipse e = error_ellipse(covariance);
  const double wide = e.semi_major.metres(), slim = e.semi_minor.metres();
  if (wide <= 0 || radius <= Length::metres(0)) return judge(norm(offset), radius) == Verdict::within ? 1 : 0;
  // Far inside or outside nothing is left to integrate: under 2e-8.
  const double gap = (radius - norm(offset)).metres();
  if (std::abs(gap) > kReach * wide) return gap > 0 ? 1 : 0;
  const double north = offset.by.northing.metres(), east = offset.by.easting.metres();
  const double sine = e.azimuth.sine(), cosine = e.azimuth.cosine();
  return in_circle(north * cosine + east * sine, east * cosine - north * sine, wide, slim, radius.metres());
}

}  // namespace deckmark
