#pragma once
/// Plan covariances and their error ellipses.

#include "measure/frame.h"

namespace deckmark {

/// Covariance of a plan position in one frame, m^2. For Drawing the axes are x, y; for Site northing,
/// easting.
template <class F>
struct PlanCovariance {
  double first = 0;  ///< variance along the frame's first axis
  double cross = 0;
  double second = 0;  ///< variance along the frame's second axis
  friend PlanCovariance operator+(const PlanCovariance& a, const PlanCovariance& b) {
    return {a.first + b.first, a.cross + b.cross, a.second + b.second};
  }
};

/// Standard error ellipse (one sigma). `azimuth` is that of the major axis, in [0, 180).
struct ErrorEllipse {
  Length semi_major = Length::metres(0), semi_minor = Length::metres(0);
  Azimuth azimuth = Azimuth::degrees(0);
};
ErrorEllipse error_ellipse(const PlanCovariance<Site>& c);
/// Semi-major axis alone, the `sd` of points.csv.
template <class F>
Length semi_major(const PlanCovariance<F>& c);
/// sd of an offset along its own direction, or the larger semi-axis where the offset is smaller than that
/// axis (design: Verdicts).
Length offset_sd(const Vec<Site>& offset, const PlanCovariance<Site>& c);

/// Scale of a one-sigma ellipse that holds 95 %: sqrt(-2 ln 0.05) = 2.4477.
inline constexpr double kEllipse95 = 2.447746830680816;

}  // namespace deckmark
