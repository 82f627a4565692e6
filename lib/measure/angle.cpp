#include "measure/angle.h"

#include <GeographicLib/Math.hpp>
#include <numbers>

namespace deckmark {

using GeographicLib::Math;

Angle Angle::radians(double v) { return Angle(v * (180.0 / std::numbers::pi)); }

double Angle::radians() const { return d_ * (std::numbers::pi / 180.0); }

Azimuth Azimuth::degrees(double v) {
  double d = std::fmod(v, 360.0);
  if (d < 0) d += 360.0;
  // A tiny negative value rounds up to 360 itself; adding zero turns -0 into +0.
  return Azimuth(d >= 360.0 ? 0.0 : d + 0.0);
}

double Azimuth::sine() const { return Math::sind(d_); }

double Azimuth::cosine() const { return Math::cosd(d_); }

Angle operator-(Azimuth a, Azimuth b) {
  double error = 0;
  const double d = Math::AngDiff(b.d_, a.d_, error) + error;
  return wrapped(Angle::degrees(d));
}

Angle wrapped(Angle a) {
  double d = std::remainder(a.degrees(), 360.0);  // in [-180, 180], exact
  if (d == -180.0) d = 180.0;
  return Angle::degrees(d + 0.0);
}

}  // namespace deckmark
