#include "transform/transform.h"

namespace deckmark {

Transform<Drawing, Site>::Transform(const SimilarityParts& parts)
    : parts_(parts), sine_(parts.azimuth_x.sine()), cosine_(parts.azimuth_x.cosine()) {}

Vec<Drawing> Transform<Drawing, Site>::turn(const Vec<Site>& v) const {
  const Length along_y = sine_ * v.by.northing - cosine_ * v.by.easting;
  return {{.x = sine_ * v.by.easting + cosine_ * v.by.northing, .y = parts_.mirrored ? -along_y : along_y}};
}

Point<Drawing> Transform<Drawing, Site>::operator()(const Point<Site>& p) const {
  const Vec<Drawing> v = turn(p - parts_.site_centre);
  return parts_.drawing_centre + Vec<Drawing>{{.x = v.by.x / parts_.scale, .y = v.by.y / parts_.scale}};
}

Transform<Site, Drawing>::Transform(const SimilarityParts& parts) : parts_(parts) {
  const double hand = parts.mirrored ? -1.0 : 1.0;
  nx_ = parts.scale * parts.azimuth_x.cosine();
  ny_ = hand * parts.scale * parts.azimuth_x.sine();
  ex_ = parts.scale * parts.azimuth_x.sine();
  ey_ = -hand * parts.scale * parts.azimuth_x.cosine();
}

Vec<Site> Transform<Site, Drawing>::turn(const Vec<Drawing>& v) const {
  const double sine = parts_.azimuth_x.sine(), cosine = parts_.azimuth_x.cosine();
  const Length y = parts_.mirrored ? -v.by.y : v.by.y;
  return {{.northing = cosine * v.by.x + sine * y, .easting = sine * v.by.x - cosine * y}};
}

Transform<Site, Drawing> claim(const SimilarityParts& parts) { return Transform<Site, Drawing>(parts); }

Transform<Site, Drawing> drawing_is_site(bool mirrored) {
  const Length zero = Length::metres(0);
  return claim({.drawing_centre = {{.x = zero, .y = zero}},
                .site_centre = {{.northing = zero, .easting = zero}},
                .azimuth_x = Azimuth::degrees(90),
                .scale = 1,
                .mirrored = mirrored});
}

PlanCovariance<Site> FittedTransform::covariance_at(const Point<Drawing>& p) const {
  // Rows easting and northing of the mapped point by site centre easting, northing, azimuth and scale.
  const SimilarityParts& parts = site_from_drawing.parts();
  const Vec<Site> offset = site_from_drawing(p) - parts.site_centre;
  const double e = offset.by.easting.metres(), n = offset.by.northing.metres();
  const double along_easting = e / parts.scale, along_northing = n / parts.scale;  // by scale
  PlanCovariance<Site> c;
  const auto& s = covariance;
  const auto by_easting = [&](std::size_t i) { return s[i][0] + n * s[i][2] + along_easting * s[i][3]; };
  const auto by_northing = [&](std::size_t i) { return s[i][1] - e * s[i][2] + along_northing * s[i][3]; };
  c.first = by_northing(1) - e * by_northing(2) + along_northing * by_northing(3);
  c.cross = by_northing(0) + n * by_northing(2) + along_easting * by_northing(3);
  c.second = by_easting(0) + n * by_easting(2) + along_easting * by_easting(3);
  return c;
}

std::array<std::array<double, 4>, 2> FittedTransform::slopes_at(const Point<Drawing>& p) const {
  const SimilarityParts& parts = site_from_drawing.parts();
  const Vec<Site> offset = site_from_drawing(p) - parts.site_centre;
  const double e = offset.by.easting.metres(), n = offset.by.northing.metres();
  return {{{0, 1, -e, n / parts.scale}, {1, 0, n, e / parts.scale}}};
}

}  // namespace deckmark
