// Slips that spoil a whole setup: control with its axes exchanged, angles keyed in another notation.
#include <doctest/doctest.h>

#include <algorithm>
#include <optional>
#include <utility>

#include "simulation/station_world.h"

using namespace station_test;

namespace {

const Sds kSds{
    .angle = 1.0e-5, .distance = 0.002, .ppm = 2, .target = 0.001, .centring = 0.001, .height = 0.001};

/// A setup with four targets round it, somewhere on a local site.
struct Setup {
  InstrumentOptions options = options_of(kSds);
  std::vector<std::optional<ControlMark>> targets;
  std::vector<Reading> readings;
  Reduction reduced;
  SetupInput input;

  Setup(Noise& noise, bool free) {
    const Spot mark{6420 + noise.uniform(-5, 5), 3160 + noise.uniform(-5, 5), 100};
    Instrument in{.axis = mark, .orientation = noise.uniform(0, 6.28)};
    if (!free) in.axis.n += kSds.centring * noise.normal(), in.axis.e += kSds.centring * noise.normal();
    in.axis.h += 1.55 + kSds.height * noise.normal();
    for (std::size_t t = 0; t < 4; ++t) {
      const double way = 2 * std::numbers::pi * static_cast<double>(t) / 4 + noise.uniform(-0.3, 0.3);
      const double far = noise.uniform(15, 40);
      const Spot spot{mark.n + far * std::cos(way), mark.e + far * std::sin(way),
                      100 + noise.uniform(-0.3, 0.3)};
      targets.push_back(ControlMark{at(spot.n, spot.e), Elevation::metres(spot.h), std::nullopt});
      append(readings, read(in, {.target = t, .mark = spot}, kSds, 0.13, noise));
    }
    input.place = free ? SetupPlace::free : SetupPlace::known;
    if (!free) input.mark = ControlMark{at(mark.n, mark.e), Elevation::metres(mark.h), std::nullopt};
    input.instrument_height = m(1.55);
  }
  SetupResult adjust() {
    reduced = reduce(readings, options);
    input.sights = reduced.sights;
    input.targets = targets;
    return adjust_setup(input, {.instrument = options});
  }
};

/// `172.4257` for 172-42-57, to a tenth of a second, by its own arithmetic: whole tenths of a second.
double packed(double degrees) {
  const long tenths = std::lround(degrees * 36000);
  return static_cast<double>(tenths / 36000) + static_cast<double>(tenths / 600 % 60) / 100 +
         static_cast<double>(tenths % 600) / 100000;
}

}  // namespace

TEST_CASE("control with northing and easting exchanged is told as that, and accuses no point") {
  Noise noise;
  std::size_t named = 0;
  const std::size_t runs = repeats(400);
  for (std::size_t k = 0; k < runs; ++k) {
    Setup s(noise, k % 2 == 0);
    for (auto& t : s.targets) std::swap(t->at.at.northing, t->at.at.easting);
    if (s.input.mark) std::swap(s.input.mark->at.at.northing, s.input.mark->at.at.easting);
    const SetupResult r = s.adjust();
    if (r.wrong.size() == 1 && r.wrong[0].kind == WrongKind::axes) ++named;
    if (r.status == SetupStatus::solved) CHECK(r.verdict == Verdict::outside);
  }
  MESSAGE("named " << named << " of " << runs);
  CHECK(named * 100 >= runs * 97);
}

TEST_CASE(
    "one control point with its axes exchanged is that point, and its place says nothing of the setup's") {
  Noise noise;
  std::size_t named = 0;
  const std::size_t runs = repeats(200);
  for (std::size_t k = 0; k < runs; ++k) {
    Setup s(noise, true);
    std::swap(s.targets[1]->at.at.northing, s.targets[1]->at.at.easting);
    const SetupResult r = s.adjust();
    if (r.status != SetupStatus::solved) continue;
    if (!r.wrong.empty() && r.wrong[0].kind == WrongKind::target && r.wrong[0].sight == 1) ++named;
    CHECK(std::ranges::none_of(r.facts, [](const SetupFact& f) { return f.kind == SetupFactKind::weak; }));
  }
  CHECK(named * 100 >= runs * 95);
}

TEST_CASE("angles keyed in another notation are told, whichever it is; a sound setup is asked for nothing") {
  struct Row {
    AngleNotation read_as, meant;
    double (*number)(double degrees);    // as it is typed
    double (*taken_for)(double number);  // in degrees
  };
  const auto same = [](double v) { return v; };
  const auto to_gon = [](double v) { return v / 0.9; };
  const auto of_gon = [](double v) { return v * 0.9; };
  const Row rows[] = {{AngleNotation::degrees, AngleNotation::packed, packed, same},
                      {AngleNotation::gon, AngleNotation::degrees, same, of_gon},
                      {AngleNotation::gon, AngleNotation::packed, packed, of_gon},
                      {AngleNotation::degrees, AngleNotation::gon, to_gon, same}};
  Noise noise;
  for (const Row& row : rows)
    for (int k = 0; k < 20; ++k) {
      Setup s(noise, k % 2 == 0);
      CAPTURE(static_cast<int>(row.read_as));
      CAPTURE(static_cast<int>(row.meant));
      bool readable = true;
      for (Reading& r : s.readings) {
        const double circle = row.taken_for(row.number(Azimuth::degrees(r.circle->degrees()).degrees()));
        readable = readable && circle < 360;
        r.circle = CircleReading::degrees(circle);
        r.zenith = Angle::degrees(row.taken_for(row.number(r.zenith->degrees())));
        readable = readable && face_agrees(r);
      }
      if (!readable) continue;  // refused at its cell
      const SetupResult r = s.adjust();
      CHECK((r.status != SetupStatus::solved || !r.wrong.empty()));
      CHECK(angles_meant(s.readings, s.input, {.instrument = s.options}, row.read_as) == row.meant);
    }
  // Where a target is off no notation mends it.
  Setup s(noise, true);
  s.targets[2]->at.at.northing += m(0.1);
  (void)s.adjust();
  CHECK_FALSE(angles_meant(s.readings, s.input, {.instrument = s.options}, AngleNotation::degrees));
}
