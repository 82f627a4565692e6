// Readings of lasers: pairs of housings, and what one standing closes to.
#include <algorithm>
#include <cmath>
#include <map>
#include <tuple>

#include "adjust/solve.h"
#include "heights/height_net.h"

namespace deckmark::levelling {

namespace {

double pair_value(const HeightReadings& readings, std::size_t i) {
  const LaserReading& r = readings.laser[i];
  return side_of(r) * r.reading.metres();
}

double pair_distance(const HeightReadings& readings, std::size_t one, std::size_t other) {
  return (readings.laser[one].distance.metres() + readings.laser[other].distance.metres()) / 2;
}

/// Observations of the lasers: two housings of one target from one standing are one, each reading in one
/// pair.
void add_laser(const HeightReadings& readings, const HeightOptions& options, Net& net) {
  using Key = std::pair<std::size_t, std::size_t>;
  std::map<Key, std::vector<std::size_t>> waiting[2];  // observations of one reading, by its housing
  net.of_laser.resize(readings.laser.size());
  const double sd = options.reading_sd.metres();
  for (std::size_t i = 0; i < readings.laser.size(); ++i) {
    const LaserReading& r = readings.laser[i];
    const Key key{r.laser, r.target};
    if (r.housing) {
      auto& other = waiting[*r.housing == Housing::straight ? 1 : 0][key];
      if (!other.empty()) {
        Observation& o = net.observations[other.front()];
        other.erase(other.begin());
        const double away = pair_distance(readings, o.reading, i);
        o.turned = i;
        o.apart = pair_value(readings, i) - o.value;
        o.apart_sd = std::hypot(sd * std::sqrt(2.0), 2 * away * options.beam_sd.radians());
        o.value = (o.value + pair_value(readings, i)) / 2;
        o.sd = sd / std::sqrt(2.0);
        net.of_laser[i] = net.of_laser[o.reading];
        continue;
      }
      waiting[*r.housing == Housing::straight ? 0 : 1][key].push_back(net.observations.size());
    }
    net.of_laser[i] = net.observations.size();
    net.observations.push_back({readings.setups + r.laser, r.target, pair_value(readings, i),
                                std::hypot(sd, r.distance.metres() * options.beam_sd.radians()),
                                WrongHeight::What::laser, i, std::nullopt});
  }
}

double most_apart(const Observation& o) { return kWrongLimit * o.apart_sd; }

bool is_turned(const LaserReading& r) { return r.housing == Housing::turned; }

}  // namespace

bool Observation::is_torn() const { return is_pair() && std::abs(apart) > most_apart(*this); }

std::size_t Net::item_of(const Stated& s) const {
  if (s.first == WrongHeight::What::benchmark) return item_of_benchmark(s.second);
  return (s.first == WrongHeight::What::level ? of_level : of_laser)[s.second];
}

Stated Net::stated(std::size_t item) const {
  if (!is_observation(item)) return Stated(WrongHeight::What::benchmark, item - observations.size());
  return Stated(observations[item].what, observations[item].reading);
}

Net net_of(const HeightReadings& readings, const HeightOptions& options) {
  Net net;
  net.targets = readings.targets;
  net.setups = readings.setups;
  net.stations = readings.setups + readings.lasers;
  net.benchmarks = readings.benchmarks;
  net.benchmark_of.resize(net.targets);
  for (std::size_t b = 0; b < net.benchmarks.size(); ++b) net.benchmark_of[net.benchmarks[b].target] = b;
  for (std::size_t i = 0; i < readings.level.size(); ++i) {
    const LevelReading& r = readings.level[i];
    net.of_level.push_back(net.observations.size());
    net.observations.push_back({r.setup, r.target, r.reading.metres(), options.reading_sd.metres(),
                                WrongHeight::What::level, i, std::nullopt});
  }
  add_laser(readings, options, net);
  return net;
}

namespace {

/// Permitted between two readings of these sds: the job's, else 3 mm, or what 2.5 sds of their difference
/// allow.
Length plane_limit(const HeightOptions& options, double one, double other) {
  constexpr double kPermittedSds = 2.5;  // a permitted deviation is 2.5 sds (ISO 4463-1, from memory)
  return options.loop_limit.value_or(
      std::max(kShortLimit, Length::metres(kPermittedSds * std::hypot(one, other))));
}

}  // namespace

std::vector<PlaneClosure> find_planes(const HeightReadings& readings, const HeightOptions& options,
                                      const Net& net) {
  std::vector<PlaneClosure> out;
  // Read again at one place the plane's own error is the same: the readings alone differ.
  const Length again = plane_limit(options, options.reading_sd.metres(), options.reading_sd.metres());
  // A reading without a housing is one as the laser stands.
  std::map<std::tuple<std::size_t, std::size_t, bool>, std::size_t> first_of;
  std::map<std::size_t, std::size_t> first_benchmark;  // reading, by laser
  for (std::size_t i = 0; i < readings.laser.size(); ++i) {
    const LaserReading& r = readings.laser[i];
    const auto [same, is_first] = first_of.try_emplace({r.laser, r.target, is_turned(r)}, i);
    if (!is_first) {
      const double off = pair_value(readings, i) - pair_value(readings, same->second);
      out.push_back({same->second, i, closure_of(Length::metres(off), again), again});
    }
    const auto mark = net.benchmark_of[r.target];
    // Of a pair the first reading stands for both; of a target that is read again the first.
    if (!mark || !is_first) continue;
    if (first_of.contains({r.laser, r.target, !is_turned(r)})) continue;
    const auto [first, is_only] = first_benchmark.try_emplace(r.laser, i);
    if (is_only) continue;
    const auto plane_by = [&](std::size_t reading) {
      const Observation& o = net.observations[net.of_laser[reading]];
      return net.benchmarks[*net.benchmark_of[o.target]].elevation + Length::metres(o.value);
    };
    const auto sd_by = [&](std::size_t reading) {
      const Observation& o = net.observations[net.of_laser[reading]];
      const auto& own = net.benchmarks[*net.benchmark_of[o.target]].sd;
      return std::hypot(o.sd, own ? own->metres() : 0);
    };
    const Length limit = plane_limit(options, sd_by(first->second), sd_by(i));
    out.push_back({first->second, i, closure_of(plane_by(i) - plane_by(first->second), limit), limit});
  }
  return out;
}

std::vector<HousingTilt> find_tilts(const HeightReadings& readings, const Net& net) {
  std::vector<HousingTilt> out;
  for (const Observation& o : net.observations) {
    if (!o.turned) continue;
    const double distance = pair_distance(readings, o.reading, *o.turned);
    if (!(distance > 0)) continue;
    std::size_t straight = o.reading, turned = *o.turned;
    double apart = -o.apart;
    if (is_turned(readings.laser[straight])) {
      std::swap(straight, turned);
      apart = o.apart;
    }
    out.push_back({straight, turned, Angle::radians(std::atan(apart / 2 / distance)), Length::metres(apart),
                   Length::metres(most_apart(o))});
  }
  return out;
}

}  // namespace deckmark::levelling
