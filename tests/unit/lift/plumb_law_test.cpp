// The stated sd of a plumb offset against errors made by an own geometry.
#include <doctest/doctest.h>

#include <array>

#include "lift_support.h"

using namespace lift_test;

namespace {

struct Frame {
  double north, east, azimuth, scale;  // m, m, rad, 1
  bool mirrored;
};

// The drawing point on site, written out again: nothing of the program's transform.
std::array<double, 2> place(const Frame& f, double x, double y) {
  const double s = std::sin(f.azimuth), c = std::cos(f.azimuth), v = f.mirrored ? -y : y;
  return {f.north + f.scale * (x * c + v * s), f.east + f.scale * (x * s - v * c)};
}

enum class Kind { design_floor, measured_floor, from_floor };

// One mark: does the true offset lie within 1.96 sd of the stated one, along the stated offset?
bool covers(Noise& noise, Kind kind) {
  const Frame truth{noise.uniform(-1e5, 1e5), noise.uniform(-1e5, 1e5), noise.uniform(0, 6.28), 1,
                    noise.uniform() < 0.5};
  const std::array<double, 4> sds{noise.uniform(0, 0.004), noise.uniform(0, 0.004), noise.uniform(0, 1e-4),
                                  0};  // e n a s
  Frame fitted = truth;
  fitted.east += sds[0] * noise.normal();
  fitted.north += sds[1] * noise.normal();
  fitted.azimuth += sds[2] * noise.normal();
  FittedTransform fit{claim({.drawing_centre = xy(0, 0),
                             .site_centre = at(fitted.north, fitted.east),
                             .azimuth_x = Azimuth::degrees(fitted.azimuth * 180 / 3.14159265358979323846),
                             .scale = 1,
                             .mirrored = truth.mirrored}),
                      {}};
  for (std::size_t i = 0; i < 4; ++i) fit.covariance[i][i] = sds[i] * sds[i];

  const double x = noise.uniform(-30, 30), y = noise.uniform(-30, 30), sd = noise.uniform(0.001, 0.004);
  // far beyond every sd, so that the direction of the offset is settled and no semi-axis takes over
  const double away = 0.5, way = noise.uniform(0, 6.28);
  const auto floor = place(truth, x, y);
  const double dn = away * std::cos(way), de = away * std::sin(way);
  DeckMark mark{.design = xy(x, y),
                .attach_height = std::nullopt,
                .found = xy(0, 0),
                .elevation = std::nullopt,
                .sd = m(sd),
                .floor_mark = std::nullopt};
  if (kind == Kind::from_floor) {
    const double c = std::cos(truth.azimuth), s = std::sin(truth.azimuth);
    const double right = (dn * s - de * c) * (truth.mirrored ? -1 : 1);
    mark.found =
        Vec<Drawing>{{.x = m(dn * c + de * s + sd * noise.normal()), .y = m(right + sd * noise.normal())}};
  } else {
    mark.found = at(floor[0] + dn + sd * noise.normal(), floor[1] + de + sd * noise.normal());
  }
  if (kind == Kind::measured_floor)
    mark.floor_mark = at(floor[0] + sd * noise.normal(), floor[1] + sd * noise.normal());
  const PlumbRow row = check_plumb(mark, {.fit = fit, .floor = Elevation::metres(0)}, {});
  return std::fabs(row.offset.metres() - away) <= 1.959964 * row.sd.metres();
}

}  // namespace

TEST_CASE("sd of the offset is honest in turned and mirrored frames") {
  Noise noise;
  for (const Kind kind : {Kind::design_floor, Kind::measured_floor, Kind::from_floor}) {
    const std::size_t runs = repeats(10000);
    std::size_t inside = 0;
    for (std::size_t k = 0; k < runs; ++k)
      if (covers(noise, kind)) ++inside;
    MESSAGE("inside " << inside << " of " << runs);
    if (!kSanitized) CHECK((inside >= 9430 && inside <= 9570));
  }
}
