#include "measure/ellipse.h"

#include <algorithm>
#include <cmath>
#include <GeographicLib/Math.hpp>

namespace deckmark {

namespace {

struct Axes {
  double major, minor;  // variances
};

// Eigenvalues of the symmetric 2x2 matrix; closed form, nothing cancels in the larger one (plain squares:
// variances of positions are far from overflow).
template <class F>
Axes principal(const PlanCovariance<F>& c) {
  const double mean = (c.first + c.second) / 2.0;
  const double half = (c.first - c.second) / 2.0;
  const double radius = std::sqrt(half * half + c.cross * c.cross);
  const double major = mean + radius;
  // The smaller one from the determinant, which keeps its digits where mean - radius loses them.
  const double square = c.cross * c.cross;
  const double determinant = std::fma(c.first, c.second, -square) + std::fma(-c.cross, c.cross, square);
  const double minor = major > 0 ? determinant / major : 0.0;
  return {std::max(major, 0.0), std::clamp(minor, 0.0, std::max(major, 0.0))};
}

}  // namespace

ErrorEllipse error_ellipse(const PlanCovariance<Site>& c) {
  const Axes axes = principal(c);
  // Twice the angle of the major axis from northing towards easting; a circle has no direction and gets 0.
  const double twice = GeographicLib::Math::atan2d(2.0 * c.cross, c.first - c.second);
  double azimuth = twice / 2.0;
  if (azimuth < 0) azimuth += 180.0;
  if (azimuth >= 180.0) azimuth = 0.0;
  return {Length::metres(std::sqrt(axes.major)), Length::metres(std::sqrt(axes.minor)),
          Azimuth::degrees(azimuth)};
}

template <class F>
Length semi_major(const PlanCovariance<F>& c) {
  return Length::metres(std::sqrt(principal(c).major));
}
template Length semi_major(const PlanCovariance<Site>& c);
template Length semi_major(const PlanCovariance<Drawing>& c);

Length offset_sd(const Vec<Site>& offset, const PlanCovariance<Site>& c) {
  const Length larger = semi_major(c);
  const Length size = norm(offset);
  if (size < larger || size == Length::metres(0)) return larger;
  const double n = offset.by.northing / size;
  const double e = offset.by.easting / size;
  const double variance = n * n * c.first + 2.0 * n * e * c.cross + e * e * c.second;
  return Length::metres(std::sqrt(std::max(variance, 0.0)));
}

}  // namespace deckmark
