#include <doctest/doctest.h>

#include <string>

#include "simulation/station_world.h"
#include "support/vector_file.h"

using namespace station_test;

namespace {

const Sds kSds{
    .angle = 1e-5, .distance = 0.002, .ppm = 2, .target = 0.001, .centring = 0.001, .height = 0.001};

SetupResult setup_at(double n, double e, double elevation, double orientation) {
  SetupResult s;
  s.status = SetupStatus::solved;
  s.at = at(n, e);
  s.orientation = Angle::degrees(orientation);
  s.elevation = Elevation::metres(elevation);
  s.elevation_sd = mm(0);
  s.instrument_height = m(1.55);
  return s;
}

}  // namespace

TEST_CASE("what is staked, observed and reduced again is the design point") {
  const InstrumentOptions options = options_of(kSds);
  for (const double orientation : {0.0, 123.456, 359.9})
    for (const double far : {2.5, 30.0, 500.0})
      for (const double z : {5.0, 45.0, 85.0, 90.0, 100.0, 175.0})
        for (const double way : {0.0, 77.7, 180.0, 301.0}) {
          CAPTURE(far);
          CAPTURE(z);
          CAPTURE(way);
          const SetupResult setup = setup_at(4.5e6, 3.2e5, 12, orientation);
          const double hd = far * std::sin(z * std::numbers::pi / 180),
                       up = far * std::cos(z * std::numbers::pi / 180);
          const double a = way * std::numbers::pi / 180;
          const StakePoint point{at(4.5e6 + hd * std::cos(a), 3.2e5 + hd * std::sin(a)),
                                 Elevation::metres(13.55 + up - 0.1), StakeLevel::floor};
          const StakeRow row = stake(setup, point, 7, {.target_height = m(0.1)}, options);
          CHECK(row.point == 7);
          Reading one;
          one.circle = row.circle;
          one.zenith = Angle::degrees(row.zenith->degrees());
          one.slope = row.slope;
          one.target_height = m(0.1);
          const Reduction reduction = reduce(std::vector<Reading>{one}, options);
          const auto shot = side_shot(setup, reduction.sights[0], 0, options);
          REQUIRE(shot);
          CHECK(distance(shot->at, point.at).metres() < 1e-5);
          CHECK(std::fabs((*shot->elevation - *point.elevation).metres()) < 1e-5);
          // and the world agrees that a target held there reads so
          const Pointing p = point_at({0, 0, 0}, {hd * std::cos(a), hd * std::sin(a), up}, 0.13);
          CHECK(std::fabs(p.slope - row.slope->metres()) < 1e-5);
          CHECK(std::fabs(p.zenith - row.zenith->degrees() * std::numbers::pi / 180) * far < 1e-5);
        }
}

TEST_CASE("sds along and across: worked budgets of a stakeout from a known point") {
  // Propagated by hand and held against a simulation of the centring: D = 25 m, backsight at right angles,
  // mm: along, across, 95 % radius.
  struct Row {
    double seconds, distance, centring, backsight_target, pole, mark, backsight, along, across, radius;
  };
  for (const Row& r :
       {Row{5, 2, 1, 1, 2, 1.5, 30, 3.4, 3.2, 8.0}, Row{5, 2, 1, 1, 2, 1.5, 8, 3.4, 5.3, 10.9}}) {
    InstrumentOptions options = options_of(kSds);
    options.angle_sd = Angle::arc_seconds(r.seconds);
    options.distance_sd = mm(r.distance);
    options.distance_ppm = 2;
    options.centring_sd = mm(r.centring);
    Sight back;
    back.circle = CircleReading::degrees(0);
    back.circle_sd = Angle::arc_seconds(r.seconds * std::sqrt(2.0));
    back.target_sd = mm(r.backsight_target);
    back.distance_sd = mm(r.distance);
    std::vector<std::optional<ControlMark>> targets{
        ControlMark{at(r.backsight, 0), std::nullopt, std::nullopt}};
    SetupInput input;
    input.place = SetupPlace::known;
    input.mark = ControlMark{at(0, 0), std::nullopt, std::nullopt};
    const std::vector<Sight> sights{back};
    input.sights = sights;
    input.targets = targets;
    const SetupResult setup = adjust_setup(input, {.instrument = options});
    REQUIRE(setup.status == SetupStatus::solved);
    options.target_sd = mm(std::hypot(r.pole, r.mark));
    const StakeRow row =
        stake(setup, {at(0, 25), std::nullopt, StakeLevel::floor}, 0, {.one_face = true}, options);
    CHECK(std::fabs(row.sd_along.millimetres() - r.along) < 0.06);
    CHECK(std::fabs(row.sd_across.millimetres() - r.across) < 0.06);
    // That radius is the round approximation 2.4477 sqrt((along^2 + across^2)/2).
    CHECK(radius95(row.covariance).millimetres() == doctest::Approx(r.radius).epsilon(0.03));
    CHECK_FALSE(row.zenith);
  }
}

TEST_CASE("radius that holds 95 %: against the integral") {
  // Integral of the normal density over the circle, by quadrature in other software (ratio of semi-axes,
  // radius).
  struct Row {
    double ratio, radius;
  };
  for (const Row& r : {Row{0.001, 1.9599640}, Row{0.2, 1.9704075}, Row{0.5, 2.0358587}, Row{0.7, 2.1459811},
                       Row{0.9, 2.3317980}, Row{1, 2.4477468}})
    CHECK(radius95({1, 0, r.ratio * r.ratio}).metres() == doctest::Approx(r.radius).epsilon(0.002));
}

TEST_CASE("flags of a staked point") {
  const InstrumentOptions options = options_of(kSds);
  SetupResult setup = setup_at(0, 0, 10, 0);
  const auto flags = [&](double hd, double elevation, StakeLevel level, Length tolerance = mm(6)) {
    return stake(setup, {at(hd, 0), Elevation::metres(elevation), level}, 0, {.tolerance = tolerance},
                 options)
        .flags;
  };
  CHECK(flags(1.999, 10, StakeLevel::floor).near);
  CHECK_FALSE(flags(2, 10, StakeLevel::floor).near);
  CHECK(flags(10, 10, StakeLevel::control).check);
  CHECK(flags(3, 14.6, StakeLevel::deck).steep);  // 3.05 m up over 3 m
  CHECK_FALSE(flags(3.2, 14.6, StakeLevel::deck).steep);
  CHECK(flags(1, 10, StakeLevel::floor).steep);  // 1.55 m down over 1 m
  // 10 mm of deck height move the spot by 10 mm tan z: z = atan(6/10) is the limit at 6 mm
  CHECK(flags(3.1, 16.55, StakeLevel::deck).far_deck);
  CHECK_FALSE(flags(2.9, 16.55, StakeLevel::deck).far_deck);
  CHECK_FALSE(flags(30, 16.55, StakeLevel::floor).far_deck);
  CHECK(flags(30, 11.55, StakeLevel::deck).far_deck);  // level with the axis
  CHECK_FALSE(flags(30, 10, StakeLevel::floor).weak);
  CHECK(flags(30, 10, StakeLevel::floor, mm(2)).weak);
  setup.covariance[2][2] = 1e-7;  // 65 seconds of orientation
  CHECK(flags(30, 10, StakeLevel::floor).weak);
}

TEST_CASE("deck targets may hang, floor targets stand") {
  const InstrumentOptions options = options_of(kSds);
  const SetupResult setup = setup_at(0, 0, 10, 0);
  const StakeOptions heights{.target_height = m(1.3), .deck_target_height = m(-0.05)};
  CHECK(stake(setup, {at(9, 0), Elevation::metres(10), StakeLevel::floor}, 0, heights, options)
            .rise_from_axis->metres() == doctest::Approx(-0.25));
  CHECK(stake(setup, {at(9, 0), Elevation::metres(14), StakeLevel::deck}, 0, heights, options)
            .rise_from_axis->metres() == doctest::Approx(2.4));
}

TEST_CASE("published polar coordinates and inverses") {
  const InstrumentOptions options = options_of(kSds);
  const auto degrees_of = [](const std::string& dms) {
    const auto a = dms.find(':'), b = dms.rfind(':');
    return std::stod(dms.substr(0, a)) + std::stod(dms.substr(a + 1, b - a - 1)) / 60 +
           std::stod(dms.substr(b + 1)) / 3600;
  };
  int seen = 0;
  for (const auto& row : deckmark_test::read_vectors("vectors/reference/traverse_examples.csv")) {
    const auto in = deckmark_test::split_inputs(row.at("inputs"));
    CAPTURE(row.at("id"));
    CAPTURE(row.at("source"));
    if (row.at("calc") == "lat_dep" && in.count("az") != 0) {
      Sight s;
      s.circle = CircleReading::degrees(degrees_of(in.at("az")));
      s.horizontal = m(std::stod(in.at("dist")));
      const auto shot = side_shot(setup_at(0, 0, 0, 0), s, 0, options);
      const double got =
          row.at("output") == "lat" ? shot->at.at.northing.metres() : shot->at.at.easting.metres();
      CHECK(std::fabs(got - std::stod(row.at("expected"))) <= std::stod(row.at("tol")));
      ++seen;
    } else if (row.at("calc") == "polar_inverse") {
      const StakeRow r =
          stake(setup_at(std::stod(in.at("N1")), std::stod(in.at("E1")), 0, 0),
                {at(std::stod(in.at("N2")), std::stod(in.at("E2"))), std::nullopt, StakeLevel::floor}, 0, {},
                options);
      CHECK(std::fabs(r.circle.degrees() - degrees_of(row.at("expected"))) * 3600 <=
            std::stod(row.at("tol")));
      ++seen;
    }
  }
  CHECK(seen == 43);
}
