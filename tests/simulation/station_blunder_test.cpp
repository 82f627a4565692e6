// Blunders in the raw readings of a free station with four targets: found and named, with few false alarms.
#include <doctest/doctest.h>

#include <optional>

#include "simulation/station_world.h"

using namespace station_test;

namespace {

enum class Blunder { none, reflector, backsight, high, bumped, exchanged, ring, struck };

const Sds kSds{
    .angle = 1.0e-5, .distance = 0.002, .ppm = 2, .target = 0.001, .centring = 0.001, .height = 0.001};

struct Outcome {
  bool alarm = false;  // a sight outside or something named
  bool named = false;  // the right thing named first
};

Outcome run(Noise& noise, Blunder blunder, bool free) {
  const double k = 0.13;
  const InstrumentOptions options = options_of(kSds);
  const Spot mark{noise.uniform(-5, 5), noise.uniform(-5, 5), 100};
  Instrument in{.axis = mark, .orientation = noise.uniform(0, 6.28)};
  if (!free) in.axis.n += kSds.centring * noise.normal(), in.axis.e += kSds.centring * noise.normal();
  in.axis.h += 1.55 + kSds.height * noise.normal();
  std::vector<std::optional<ControlMark>> targets;
  std::vector<Spot> control;
  for (std::size_t t = 0; t < 5; ++t) {  // the fifth is not sighted, unless by mistake
    const double way =
        2 * std::numbers::pi * static_cast<double>(t) / 4 + (t == 4 ? 0.7 : noise.uniform(-0.3, 0.3));
    const double far = noise.uniform(15, 40);
    control.push_back(
        {mark.n + far * std::cos(way), mark.e + far * std::sin(way), 100 + noise.uniform(-0.3, 0.3)});
    targets.push_back(
        ControlMark{at(control[t].n, control[t].e), Elevation::metres(control[t].h), std::nullopt});
  }
  const std::size_t victim = static_cast<std::size_t>(noise.uniform(0, 4));
  std::vector<Reading> readings;
  for (std::size_t t = 0; t < 4; ++t) {
    Shot shot{.target = t, .mark = control[t]};
    if (blunder == Blunder::reflector) shot.slope_error = 0.0344;
    if (blunder == Blunder::backsight && t == victim) shot.mark = control[4];
    if (blunder == Blunder::high && t == victim) shot.height_error = 0.1;
    if (blunder == Blunder::bumped && t == victim)
      shot.circle_error = 0.05 * std::numbers::pi / 180;  // 3 minutes: 22 mm at 25 m
    if (blunder == Blunder::struck && t == victim) {      // 30 mm some way along the floor, and 15 mm down
      const double way = noise.uniform(0, 2 * std::numbers::pi);
      shot.mark.n += 0.03 * std::cos(way), shot.mark.e += 0.03 * std::sin(way), shot.mark.h -= 0.015;
    }
    const std::size_t other = (victim + 1) % 4;
    if (blunder == Blunder::exchanged && (t == victim || t == other))
      shot.mark = control[t == victim ? other : victim];
    if (blunder == Blunder::ring && t != (victim + 3) % 4)
      shot.mark = control[t == (victim + 2) % 4 ? victim : (t + 1) % 4];
    append(readings, read(in, shot, kSds, k, noise));
  }
  const Reduction reduced = reduce(readings, options);
  SetupInput input;
  input.place = free ? SetupPlace::free : SetupPlace::known;
  if (!free) input.mark = ControlMark{at(mark.n, mark.e), Elevation::metres(mark.h), std::nullopt};
  input.instrument_height = m(1.55);
  input.sights = reduced.sights;
  input.targets = targets;
  const SetupResult r = adjust_setup(input, {.instrument = options});
  Outcome out;
  REQUIRE(r.status == SetupStatus::solved);
  out.alarm = r.verdict == Verdict::outside;
  if (r.wrong.empty()) return out;
  const Wrong& w = r.wrong.front();
  switch (blunder) {
    case Blunder::none:
      break;
    case Blunder::reflector:
      out.named = w.kind == WrongKind::all_distances && std::fabs(w.length->metres() - 0.0344) < 0.02;
      break;
    case Blunder::backsight:
      out.named = w.kind == WrongKind::target && w.sight == victim;
      break;
    case Blunder::high:
      out.named =
          w.kind == WrongKind::height && w.sight == victim && std::fabs(w.length->metres() - 0.1) < 0.02;
      break;
    case Blunder::exchanged:
      out.named = w.kind == WrongKind::exchanged && (w.sight == victim || w.other_sight == victim) &&
                  (w.sight == (victim + 1) % 4 || w.other_sight == (victim + 1) % 4);
      break;
    case Blunder::ring: {
      const std::size_t spared = (victim + 3) % 4;
      out.named =
          w.kind == WrongKind::exchanged && w.third_sight && w.sight != spared && w.other_sight != spared &&
          *w.third_sight != spared &&
          (w.sight == (victim + 2) % 4 ? w.other_sight == victim : w.other_sight == (w.sight + 1) % 4);
      break;
    }
    case Blunder::bumped:
      out.named = w.kind == WrongKind::circle && w.sight == victim;
      break;
    // Told as the mark, or as the mark before the reading.
    case Blunder::struck:
      out.named = w.sight == victim && (w.kind == WrongKind::target ||
                                        ((w.kind == WrongKind::circle || w.kind == WrongKind::distance) &&
                                         w.witness == MarkWitness::height_moved));
      break;
  }
  out.named = out.named && w.certain;
  return out;
}

void check_blunders(bool free) {
  Noise noise;
  for (const auto& [blunder, name] : {std::pair{Blunder::reflector, "reflector constant 34.4 mm"},
                                      {Blunder::backsight, "wrong point sighted"},
                                      {Blunder::high, "target 0.1 m too high"},
                                      {Blunder::bumped, "direction bumped by 3 minutes"},
                                      {Blunder::exchanged, "two names exchanged"},
                                      {Blunder::ring, "three names in a ring"},
                                      {Blunder::struck, "a mark struck by 30 mm and down by 15 mm"}}) {
    const std::string what = std::string(free ? "free station, " : "known point, ") + name;
    CAPTURE(what);
    const std::size_t runs = repeats(1000);
    std::size_t named = 0, alarms = 0;
    for (std::size_t k = 0; k < runs; ++k) {
      const Outcome o = run(noise, blunder, free);
      if (o.alarm) ++alarms;
      if (o.named) ++named;
    }
    MESSAGE(what << ": named " << named << ", seen " << alarms << " of " << runs);
    CHECK(named * 100 >= runs * 95);
    CHECK(alarms >= named);
  }
}

}  // namespace

// Two cases, so that two processors share them.
TEST_CASE("blunders in raw readings of a free station are found and named") { check_blunders(true); }
TEST_CASE("blunders in raw readings at a known point are found and named") { check_blunders(false); }

TEST_CASE("false alarms are few") {
  Noise noise;
  for (const bool free : {true, false}) {
    const std::size_t runs = repeats(10000);
    std::size_t alarms = 0;
    for (std::size_t k = 0; k < runs; ++k)
      if (run(noise, Blunder::none, free).alarm) ++alarms;
    const std::string what = free ? "free station" : "known point";
    MESSAGE(what << ": false alarms " << alarms << " of " << runs);
    if (!kSanitized) CHECK(alarms * 100 <= runs);
  }
}
