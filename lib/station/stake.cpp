#include "station/stake.h"

#include <cmath>
#include <numbers>

namespace deckmark {

namespace {

constexpr Length kNear = Length::metres(2);
constexpr Length kDeckHeight = Length::millimetres(10);

// Turns a covariance into along and across the sight.
void set_sight_sds(StakeRow& row, Azimuth azimuth) {
  const double s = azimuth.sine(), c = azimuth.cosine();
  const PlanCovariance<Site>& q = row.covariance;
  row.sd_along =
      Length::metres(std::sqrt(std::max(c * c * q.first + 2 * s * c * q.cross + s * s * q.second, 0.0)));
  row.sd_across =
      Length::metres(std::sqrt(std::max(s * s * q.first - 2 * s * c * q.cross + c * c * q.second, 0.0)));
}

void set_line(StakeRow& row, const SetupResult& setup, Elevation target, Angle angle_sd,
              const InstrumentOptions& instrument) {
  const Length rise = target - *setup.axis();
  row.rise_from_axis = rise;
  if (row.horizontal.metres() == 0 && rise.metres() == 0) return;
  const Line line = line_to({row.horizontal, rise}, instrument.refraction);
  row.zenith = line.zenith;
  row.slope = line.slope;
  if (!setup.elevation_sd && !setup.axis_sd) return;
  const double cosine = std::cos(line.zenith.degrees() * std::numbers::pi / 180);
  const double angle = row.horizontal.metres() * angle_sd.radians();
  const double along =
      cosine * distance_sd_at(line.slope, *instrument.distance_sd, instrument.distance_ppm).metres();
  const double own = setup.sd_axis().metres(), height = instrument.height_sd.metres();
  row.sd_up = Length::metres(std::sqrt(own * own + angle * angle + along * along + height * height));
}

}  // namespace

PlanCovariance<Site> place_share(const FittedTransform& fit, const Point<Drawing>& mark,
                                 const BaselinesWithSetup& with_setup, const Point<Site>& setup) {
  const auto d = fit.slopes_at(mark);
  const Vec<Site> way = fit.site_from_drawing(mark) - setup;
  // Northing and easting of what is staked by the setup's northing, easting, orientation.
  const double j[2][3] = {{1, 0, -way.by.easting.metres()}, {0, 1, way.by.northing.metres()}};
  const auto shared = [&](std::size_t a, std::size_t b) {
    double sum = 0;
    for (std::size_t k = 0; k < 4; ++k)
      for (std::size_t l = 0; l < 3; ++l) sum += d[a][k] * with_setup[k][l] * j[b][l];
    return sum;
  };
  PlanCovariance<Site> out = fit.covariance_at(mark);
  out.first -= 2 * shared(0, 0);
  out.cross -= shared(0, 1) + shared(1, 0);
  out.second -= 2 * shared(1, 1);
  return out;
}

StakeRow stake(const SetupResult& setup, const StakePoint& point, std::size_t index,
               const StakeOptions& options, const InstrumentOptions& instrument) {
  StakeRow row;
  row.point = index;
  const Vec<Site> to = point.at - setup.at;
  row.horizontal = norm(to);
  const Azimuth azimuth =
      row.horizontal.metres() > 0 ? azimuth_of(to) : Azimuth::degrees(setup.orientation->degrees());
  row.circle = circle_for(azimuth, *setup.orientation);
  const Angle angle_sd = *instrument.angle_sd * (options.one_face ? std::numbers::sqrt2 : 1.0);
  const double constant =
      distance_sd_at(row.horizontal, *instrument.distance_sd, instrument.distance_ppm).metres();
  const double target = instrument.target_sd.metres();
  row.covariance =
      point_covariance(setup, azimuth, row.horizontal, Length::metres(std::hypot(constant, target)),
                       Length::metres(std::hypot(row.horizontal.metres() * angle_sd.radians(), target)));
  if (point.place) {
    row.covariance.first += point.place->first;
    row.covariance.cross += point.place->cross;
    row.covariance.second += point.place->second;
  }
  set_sight_sds(row, azimuth);
  const bool deck = point.level == StakeLevel::deck;
  if (point.elevation && setup.axis())
    set_line(row, setup, *point.elevation + (deck ? options.deck_target_height : options.target_height),
             angle_sd, instrument);
  row.flags.check = point.level == StakeLevel::control;
  row.flags.near = row.horizontal < kNear;
  row.flags.weak = radius95(row.covariance) > options.tolerance + kHair;
  if (row.zenith) {
    const double elevation = std::fabs(row.zenith->elevation().degrees());
    row.flags.steep = elevation > instrument.steep.degrees() + 1e-9;
    // dH tan z along the sight; level with the axis any height error would move it away without end.
    const double rise = std::fabs(row.rise_from_axis->metres());
    row.flags.far_deck =
        deck && kDeckHeight.metres() * row.horizontal.metres() > (options.tolerance + kHair).metres() * rise;
  }
  return row;
}

StakeRow stake(const PlannedSetup& planned, const Point<Site>& spot, const StakePoint& point,
               std::size_t index, const StakeOptions& options, const InstrumentOptions& instrument) {
  return stake(as_setup(planned, spot, std::nullopt, Length::metres(0)), point, index, options, instrument);
}

}  // namespace deckmark
