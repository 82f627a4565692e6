#include "simulation/tie_jobs.h"

#include <cmath>

namespace deckmark_test {

using namespace deckmark;

Point<Site> Floor::at(double x, double y) const {
  return {{.northing = Length::metres(origin_northing + x * x_northing + y * y_northing),
           .easting = Length::metres(origin_easting + x * x_easting + y * y_easting)}};
}

Floor random_floor(std::mt19937& random, bool mirrored) {
  std::uniform_real_distribution<double> far(0, 6e6), turn(0, 360);
  Floor f;
  f.origin_northing = far(random);
  f.origin_easting = far(random);
  f.azimuth_x = turn(random);
  const double a = f.azimuth_x * 3.14159265358979323846 / 180;
  f.x_northing = std::cos(a);
  f.x_easting = std::sin(a);
  // Up crossed with +X gives +Y: in axes east, north, up that is (0, 0, 1) x (xe, xn, 0) = (-xn, xe, 0).
  const double hand = mirrored ? -1 : 1;
  f.y_easting = -hand * f.x_northing;
  f.y_northing = hand * f.x_easting;
  return f;
}

namespace {

Tie found(std::mt19937& random, const Floor& floor, double x, double y, double sd) {
  std::normal_distribution<double> error(0, sd);
  Point<Site> at = floor.at(x, y);
  at.at.northing += Length::metres(error(random));
  at.at.easting += Length::metres(error(random));
  return {std::nullopt, std::nullopt, at, Length::metres(sd), Length::metres(sd), Length::millimetres(5)};
}

}  // namespace

TieJob random_tie_job(std::mt19937& random, std::size_t count, double width, double depth, double sd,
                      bool mirrored) {
  std::uniform_real_distribution<double> along(0, width), across(0, depth);
  TieJob job{random_floor(random, mirrored), {}};
  for (std::size_t i = 0; i < count; ++i) {
    const double x = along(random), y = across(random);
    Tie t = found(random, job.floor, x, y, sd);
    t.x = Length::metres(x);
    t.y = Length::metres(y);
    job.ties.push_back(t);
  }
  return job;
}

TieJob random_two_line_job(std::mt19937& random, std::size_t each, double width, double depth, double sd) {
  std::uniform_real_distribution<double> along(0, width), across(0, depth);
  TieJob job{random_floor(random, false), {}};
  for (std::size_t i = 0; i < each; ++i) {
    // Ends of each line first, so that no job is near one place by chance.
    Tie on_x = found(random, job.floor, i == 0 ? 0 : i == 1 ? width : along(random), 0, sd);
    on_x.y = Length::metres(0);
    job.ties.push_back(on_x);
    Tie on_y = found(random, job.floor, 0, i == 0 ? 0 : i == 1 ? depth : across(random), sd);
    on_y.x = Length::metres(0);
    job.ties.push_back(on_y);
  }
  return job;
}

}  // namespace deckmark_test
