#pragma once
/// Transforms between plan frames. Named target_from_source; kept about the centre of what they were fitted
/// to, so that coordinates in the millions lose nothing.

#include <array>

#include "measure/ellipse.h"
#include "measure/frame.h"

namespace deckmark {

/// What a similarity is made of. With azimuth A of +X and scale s, for d = p - drawing_centre:
///   easting  = centre + s (dx sin A - dy cos A),  northing = centre + s (dx cos A + dy sin A);
/// mirrored: the sign of dy changes. The Y baseline is 90 degrees counter-clockwise of X seen from above.
struct SimilarityParts {
  Point<Drawing> drawing_centre;
  Point<Site> site_centre;
  Azimuth azimuth_x;  ///< azimuth of +X on site
  double scale = 1;
  bool mirrored = false;
};

template <class To, class From>
class Transform;

template <>
class Transform<Site, Drawing>;

/// Drawing from site: the inverse, made by `inverse`.
template <>
class Transform<Drawing, Site> {
 public:
  Point<Drawing> operator()(const Point<Site>& p) const;
  /// Turns a difference into the drawing's axes without dividing by the scale: lengths stay lengths on site.
  Vec<Drawing> turn(const Vec<Site>& v) const;
  const SimilarityParts& parts() const { return parts_; }

 private:
  friend class Transform<Site, Drawing>;
  explicit Transform(const SimilarityParts& parts);
  SimilarityParts parts_;
  double sine_, cosine_;
};

template <>
class Transform<Site, Drawing> {
 public:
  Point<Site> operator()(const Point<Drawing>& p) const {
    const double dx = (p.at.x - parts_.drawing_centre.at.x).metres();
    const double dy = (p.at.y - parts_.drawing_centre.at.y).metres();
    return {{.northing = parts_.site_centre.at.northing + Length::metres(dx * nx_ + dy * ny_),
             .easting = parts_.site_centre.at.easting + Length::metres(dx * ex_ + dy * ey_)}};
  }
  /// Turns a length along the baselines, measured on site (dx, dy of a deck mark), into site axes; no scale.
  Vec<Site> turn(const Vec<Drawing>& v) const;
  Transform<Drawing, Site> inverse() const { return Transform<Drawing, Site>(parts_); }
  const SimilarityParts& parts() const { return parts_; }

 private:
  friend Transform<Site, Drawing> claim(const SimilarityParts& parts);
  explicit Transform(const SimilarityParts& parts);
  SimilarityParts parts_;
  double nx_, ny_, ex_, ey_;  // scaled direction cosines
};

/// The only maker of a transform from raw parts.
Transform<Site, Drawing> claim(const SimilarityParts& parts);
/// Drawing frame = site frame: E = x, N = y; mirrored: N = -y.
Transform<Site, Drawing> drawing_is_site(bool mirrored);

/// A fitted transform with the covariance of its parameters.
///
/// Covariance is 4 x 4, order: site_centre easting (m), northing (m), azimuth (rad), scale (1); rows of what
/// was held fixed are zero.
struct FittedTransform {
  Transform<Site, Drawing> site_from_drawing;
  std::array<std::array<double, 4>, 4> covariance{};
  /// Covariance of a mapped point: what the fit leaves in its plan position, before marking.
  PlanCovariance<Site> covariance_at(const Point<Drawing>& p) const;
  /// Northing and easting of a mapped point by the four parameters.
  std::array<std::array<double, 4>, 2> slopes_at(const Point<Drawing>& p) const;
};

/// Covariance of the parameters of a fit with northing, easting (m) and orientation (rad) of an instrument.
using BaselinesWithSetup = std::array<std::array<double, 3>, 4>;

}  // namespace deckmark
