#include "book/reading.h"

#include <cmath>
#include <numbers>

namespace deckmark {

namespace {

/// As the instrument read it, for the reduction that setups have.
Reading raw_of(const TypedReading& typed, Length target_height) {
  Reading out;
  out.circle = typed.circle;
  out.target_height = typed.target_height.value_or(target_height);
  if (typed.kind == TypedReading::Kind::flat) {
    out.horizontal = typed.distance;
    return out;
  }
  out.zenith = typed.zenith;
  out.slope = typed.distance;
  out.face = typed.is_face_two() ? 2 : 1;
  return out;
}

void set_sds(ReadPlace& out, Azimuth sight) {
  const SightCovariance c = turned(out.covariance, sight);
  out.sd_along = Length::metres(std::sqrt(std::max(c.along, 0.0)));
  out.sd_across = Length::metres(std::sqrt(std::max(c.across, 0.0)));
}

/// Coordinates that the instrument computed from a circle and a distance that it read itself.
ReadPlace computed_place(const TypedReading& typed, const SetupResult& setup,
                         const InstrumentOptions& instrument) {
  ReadPlace out{{{.northing = typed.northing, .easting = typed.easting}}};
  out.elevation = typed.elevation;
  const Vec<Site> way = out.at - setup.at;
  out.horizontal = norm(way);
  const Azimuth azimuth = out.horizontal > Length::metres(0) ? azimuth_of(way) : Azimuth::degrees(0);
  out.circle = circle_for(azimuth, *setup.orientation);
  const double target = instrument.target_sd.metres();
  const double along =
      distance_sd_at(out.horizontal, *instrument.distance_sd, instrument.distance_ppm).metres();
  const double across = std::numbers::sqrt2 * instrument.angle_sd->radians() * out.horizontal.metres();
  out.covariance = point_covariance(setup, azimuth, out.horizontal, Length::metres(std::hypot(along, target)),
                                    Length::metres(std::hypot(across, target)));
  set_sds(out, azimuth);
  return out;
}

}  // namespace

SightCovariance turned(const PlanCovariance<Site>& c, Azimuth sight) {
  const double s = sight.sine(), k = sight.cosine();
  return {k * k * c.first + 2 * s * k * c.cross + s * s * c.second,
          k * s * (c.second - c.first) + (k * k - s * s) * c.cross,
          s * s * c.first - 2 * s * k * c.cross + k * k * c.second};
}

ReadPlace place_of(const TypedReading& typed, const SetupResult& setup, const InstrumentOptions& instrument,
                   Length target_height) {
  if (typed.kind == TypedReading::Kind::coordinates) return computed_place(typed, setup, instrument);
  const Reading raw = raw_of(typed, target_height);
  const Reduction reduction = reduce({&raw, 1}, instrument);
  const Sight& sight = reduction.sights.front();
  const auto shot = side_shot(setup, sight, 0, instrument);
  ReadPlace out{shot->at};
  out.elevation = shot->elevation;
  out.covariance = shot->covariance;
  out.horizontal = *sight.horizontal;
  out.circle = *sight.circle;
  out.is_face_two = typed.is_face_two();
  set_sds(out, *sight.circle + *setup.orientation);
  return out;
}

ReadPlace place_of(const TypedReading& typed, const TapeStrings& strings) {
  // x_way . d = X and y_way . d = Y.
  const double a = strings.x_way.by.northing.metres(), b = strings.x_way.by.easting.metres(),
               c = strings.y_way.by.northing.metres(), d = strings.y_way.by.easting.metres();
  const double turn = a * d - b * c, x = typed.from_x_string.metres(), y = typed.from_y_string.metres();
  ReadPlace out{strings.at + Vec<Site>{{.northing = Length::metres((d * x - b * y) / turn),
                                        .easting = Length::metres((a * y - c * x) / turn)}}};
  out.sd_along = out.sd_across = strings.sd;
  const double variance = strings.sd.metres() * strings.sd.metres() / (turn * turn);
  out.covariance = {(d * d + b * b) * variance, -(d * c + a * b) * variance, (a * a + c * c) * variance};
  return out;
}

}  // namespace deckmark
