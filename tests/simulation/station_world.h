#pragma once
// A world for station tests: truth to raw readings by its own three-dimensional geometry on a round earth
// with a bent line of sight. Nothing of lib/station's formulas is used, so that a wrong model cannot agree
// with itself. Errors of every kind are put into the raw reading.

#include <array>
#include <cmath>
#include <numbers>
#include <random>
#include <vector>

#include "station/stake.h"
#include "support/noise.h"

namespace station_test {

using namespace deckmark;
using deckmark_test::kSanitized;
using deckmark_test::Noise;
using deckmark_test::repeats;

inline Length m(double v) { return Length::metres(v); }
inline Length mm(double v) { return Length::millimetres(v); }
inline Point<Site> at(double north, double east) { return {{.northing = m(north), .easting = m(east)}}; }

/// Truth in plain metres: north, east, height.
struct Spot {
  double n = 0, e = 0, h = 0;
};

/// One pointing without any error: azimuth and zenith angle as the bent line arrives, and the straight
/// distance.
struct Pointing {
  double azimuth, zenith, slope;  // rad, rad, m
};

/// From the axis of the instrument to a target. Site coordinates are arc lengths at the axis' level on a
/// sphere of R = 6 371 000 m; the line of sight is an arc whose curvature is k sin z / R, so that it arrives
/// k S sin z / 2R above the chord. Solved for the angle by iteration.
inline Pointing point_at(const Spot& axis, const Spot& target, double k) {
  const double R = 6371000;
  const double dn = target.n - axis.n, de = target.e - axis.e;
  const double arc = std::hypot(dn, de) / R, up = target.h - axis.h;
  // chord from (0, R) to ((R + up) sin arc, (R + up) cos arc), written so that nothing cancels
  const double x = (R + up) * std::sin(arc),
               y = up * std::cos(arc) - 2 * R * std::sin(arc / 2) * std::sin(arc / 2);
  const double slope = std::hypot(x, y), chord_zenith = std::atan2(x, y);
  double zenith = chord_zenith;
  for (int i = 0; i < 5; ++i) zenith = chord_zenith - k * slope * std::sin(zenith) / (2 * R);
  return {std::atan2(de, dn), zenith, slope};
}

/// The instrument as it really is, with what no reading shows.
struct Instrument {
  Spot axis;
  double orientation = 0;                           // rad: azimuth = circle + orientation
  double collimation = 0, trunnion = 0, index = 0;  // rad
};

struct Sds {
  double angle = 0, distance = 0, ppm = 0, target = 0, centring = 0, height = 0;  // rad, m, 1e-6, m, m, m
};
inline InstrumentOptions options_of(const Sds& s) {
  InstrumentOptions o;
  o.angle_sd = Angle::radians(s.angle);
  o.distance_sd = m(s.distance);
  o.distance_ppm = s.ppm;
  o.target_sd = m(s.target);
  o.centring_sd = m(s.centring);
  o.height_sd = m(s.height);
  return o;
}

/// Raw readings to one target: its own centring and height error once, the distance's error once, a pointing
/// error each.
struct Shot {
  std::size_t target = 0;
  Spot mark;  // where the target's mark is
  double target_height = 1.5;
  bool both_faces = true;
  int rounds = 1;
  bool distance = true;
  // blunders in the raw reading
  double slope_error = 0, circle_error = 0, height_error = 0;
};
inline std::vector<Reading> read(const Instrument& in, const Shot& shot, const Sds& sd, double k,
                                 Noise& noise) {
  Spot target = shot.mark;
  target.n += sd.target * noise.normal();
  target.e += sd.target * noise.normal();
  target.h += shot.target_height + shot.height_error + sd.height * noise.normal();
  const Pointing p = point_at(in.axis, target, k);
  const double slope = p.slope +
                       (sd.distance + sd.ppm * 1e-6 * p.slope * std::sin(p.zenith)) * noise.normal() +
                       shot.slope_error;
  std::vector<Reading> out;
  for (int round = 0; round < shot.rounds; ++round)
    for (int face = 1; face <= (shot.both_faces ? 2 : 1); ++face) {
      const double one = std::numbers::sqrt2 * sd.angle;
      const double skew = in.collimation / std::sin(p.zenith) + in.trunnion / std::tan(p.zenith);
      const double sign = face == 1 ? 1 : -1;
      const double circle = p.azimuth - in.orientation + sign * skew + one * noise.normal() +
                            shot.circle_error + (face == 1 ? 0 : std::numbers::pi);
      const double z = p.zenith + one * noise.normal();
      const double zenith = (face == 1 ? z : 2 * std::numbers::pi - z) + in.index;
      Reading r;
      r.target = shot.target;
      r.face = face;
      r.circle = CircleReading::degrees(circle * 180 / std::numbers::pi);
      r.zenith = Angle::degrees(zenith * 180 / std::numbers::pi);
      if (shot.distance) r.slope = m(slope);
      r.target_height = m(shot.target_height);
      out.push_back(r);
    }
  return out;
}
inline void append(std::vector<Reading>& to, const std::vector<Reading>& more) {
  to.insert(to.end(), more.begin(), more.end());
}

}  // namespace station_test
