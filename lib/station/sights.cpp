#include "station/sights.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <functional>
#include <map>
#include <numbers>

#include "adjust/solve.h"

namespace deckmark {

namespace {

constexpr double kEarthRadius = 6371000;       // m, as the contract states it
constexpr double kFreezing = 273.15;           // K
constexpr double kStandardPressure = 1013.25;  // hPa
constexpr double kFarOff = 6;       // against a median that is itself uncertain; smaller ones show in the fit
constexpr double kDisagree = 3.29;  // alpha 0.001, two-sided normal
constexpr double kSteepSight = 25;  // degrees from level: where the trunnion axis begins to show

double sine(double degrees) { return std::sin(degrees * std::numbers::pi / 180); }
double cosine(double degrees) { return std::cos(degrees * std::numbers::pi / 180); }

bool same_setting(const Reading& a, const Reading& b) {
  return a.target == b.target && a.target_height == b.target_height && a.target_sd == b.target_sd &&
         a.distance_sd == b.distance_sd;
}

// Readings of one face brought to face 1.
double level_circle(const Reading& r) { return r.circle->degrees() - (r.face == 2 ? 180 : 0); }
double level_zenith(const Reading& r) {
  return r.face == 2 ? 360 - r.zenith->degrees() : r.zenith->degrees();
}

// Readings of one face, brought near each other: their mean by 1/sd^2, and the largest deviation from it over
// the reading's own sd. Degrees.
class FaceMean {
 public:
  void add(double value, double sd) { values_.push_back({value, std::max(sd, kLeastSd)}); }
  std::size_t count() const { return values_.size(); }
  double value() const {
    double sum = 0, weights = 0;
    for (const auto& [v, sd] : values_) sum += (v - values_[0].first) / (sd * sd), weights += 1 / (sd * sd);
    return values_[0].first + sum / weights;
  }
  double variance() const {
    double weights = 0;
    for (const auto& [v, sd] : values_) weights += 1 / (sd * sd);
    return 1 / weights;
  }
  double largest() const {
    if (values_.size() < 2) return 0;
    const double mean = value();
    double out = 0;
    for (const auto& [v, sd] : values_) out = std::max(out, std::fabs(v - mean) / sd);
    return out;
  }

 private:
  static constexpr double kLeastSd = 1e-9;
  std::vector<std::pair<double, double>> values_;
};

// Both faces of one quantity of one sight.
struct Faces {
  FaceMean one, two;
  FaceMean& of(const Reading& r) { return r.face == 2 ? two : one; }
  bool any() const { return one.count() + two.count() > 0; }
  bool both() const { return one.count() > 0 && two.count() > 0; }
  double sign() const { return both() || !any() ? 0 : one.count() > 0 ? 1 : -1; }
  double mean() const {
    return both() ? (one.value() + two.value()) / 2 : any() && one.count() > 0 ? one.value() : two.value();
  }
  double sd() const {
    if (both()) return std::sqrt(one.variance() + two.variance()) / 2;
    return std::sqrt(one.count() > 0 ? one.variance() : two.variance());
  }
  double half() const { return (one.value() - two.value()) / 2; }
  double largest() const { return std::max(one.largest(), two.largest()); }
};

double mean_of(const std::vector<double>& values) {
  double sum = 0;
  for (const double v : values) sum += v - values[0];
  return values[0] + sum / static_cast<double>(values.size());
}

class Reducer {
 public:
  Reducer(std::span<const Reading> readings, const InstrumentOptions& instrument)
      : readings_(readings), instrument_(instrument), ppm_(ppm_of(instrument)) {}

  Reduction run() {
    for (std::size_t i = 0; i < readings_.size(); ++i) add(i);
    find_turns();
    for (std::size_t k = 0; k < out_.sights.size(); ++k) reduce_one(k);
    judge_instrument();
    return std::move(out_);
  }

 private:
  static double ppm_of(const InstrumentOptions& i) {
    if (i.distances == Distances::corrected) return 0;
    assert(i.reference_refractivity && i.temperature && i.pressure);
    return *i.reference_refractivity -
           air_refractivity(i.wavelength, *i.temperature, *i.pressure, i.humidity);
  }

  void add(std::size_t i) {
    const Reading& r = readings_[i];
    if (r.target >= sights_of_.size()) sights_of_.resize(r.target + 1);
    std::vector<std::size_t>& known = sights_of_[r.target];
    auto found = std::ranges::find_if(
        known, [&](std::size_t k) { return same_setting(readings_[out_.sights[k].readings[0]], r); });
    if (found == known.end()) {
      known.push_back(out_.sights.size());
      out_.sights.emplace_back();
      found = known.end() - 1;
    }
    out_.sights[*found].readings.push_back(i);
  }

  // Circle readings of one target in one face, in their order.
  using Rounds = std::vector<std::vector<std::size_t>>;

  // The k-th circle reading of a target in one face is of round k. What all of a round have in common against
  // the round before is no error of a reading.
  void find_turns() {
    turn_of_.assign(readings_.size(), 0);
    Rounds rounds(2 * sights_of_.size());  // of every target, face 1 and face 2
    for (std::size_t i = 0; i < readings_.size(); ++i)
      if (readings_[i].circle)
        rounds[2 * readings_[i].target + (readings_[i].face == 2 ? 1 : 0)].push_back(i);
    std::ranges::stable_sort(rounds, std::greater{}, [](const auto& of) { return of.size(); });
    double turned = 0;
    for (std::size_t k = 1; !rounds.empty() && k < rounds.front().size(); ++k) {
      if (const auto turn = turn_before(rounds, k)) {
        out_.turns.push_back(*turn);
        turned += turn->by.degrees();
      }
      for (const auto& of : rounds) {
        if (k >= of.size()) break;
        turn_of_[of[k]] = turned;
      }
    }
  }

  std::optional<CircleTurn> turn_before(const Rounds& rounds, std::size_t k) const {
    struct Sum {
      double off = 0, weights = 0;
      void add(double value, double weight) { off += weight * value, weights += weight; }
      bool is_turned() const { return std::fabs(off) > kDisagree * std::sqrt(weights); }
    };
    Sum all;
    std::map<std::size_t, Sum> of_target;
    std::vector<std::pair<double, double>> offs;  // with their sds
    CircleTurn turn{k, readings_.size(), 0, Angle::degrees(0)};
    for (const auto& of : rounds) {
      if (k >= of.size()) break;
      const Reading &before = readings_[of[k - 1]], &now = readings_[of[k]];
      const double off = (*now.circle - *before.circle).degrees();
      const double sd = std::max(std::hypot(sd_of(before.circle_sd), sd_of(now.circle_sd)), 1e-9);
      offs.emplace_back(off, sd);
      all.add(off, 1 / (sd * sd));
      of_target[now.target].add(off, 1 / (sd * sd));
      turn.reading = std::min(turn.reading, of[k]);
    }
    // Without any one of the targets too: what is off at one alone is no turn.
    for (const auto& [target, its] : of_target)
      if (!Sum{all.off - its.off, all.weights - its.weights}.is_turned()) return std::nullopt;
    const double by = all.off / all.weights;
    for (const auto& [off, sd] : offs)
      if (std::fabs(off - by) > kDisagree * sd) return std::nullopt;
    turn.sights = offs.size();
    turn.by = Angle::degrees(by);
    return turn;
  }

  double corrected(const Reading& r) const {
    const double slope = r.slope->metres();
    if (instrument_.distances == Distances::corrected) return slope;
    return slope * (1 + ppm_ * 1e-6) + r.reflector.value_or(instrument_.reflector).metres();
  }

  double sd_of(const std::optional<Angle>& stated) const {
    return stated.value_or(*instrument_.angle_sd * std::numbers::sqrt2).degrees();
  }

  void reduce_one(std::size_t k) {
    Sight& s = out_.sights[k];
    const Reading& first = readings_[s.readings[0]];
    s.target = first.target;
    s.target_height = first.target_height;
    s.reflector = first.reflector;
    s.target_sd = first.target_sd.value_or(instrument_.target_sd);
    s.distance_sd = first.distance_sd.value_or(*instrument_.distance_sd);
    Faces circle, zenith, unturned;
    std::optional<double> around;
    for (const std::size_t i : s.readings) {
      const Reading& r = readings_[i];
      if (r.circle) {
        if (!around) around = level_circle(r);
        const double near = *around + wrapped(Angle::degrees(level_circle(r) - *around)).degrees();
        circle.of(r).add(near, sd_of(r.circle_sd));
        unturned.of(r).add(near - turn_of_[i], sd_of(r.circle_sd));
      }
      if (r.zenith) zenith.of(r).add(level_zenith(r), sd_of(r.zenith_sd));
    }
    set_angles(k, circle, zenith);
    if (s.circle_face != 0 || (!s.circle && s.zenith_face != 0))
      out_.facts.push_back({SightFactKind::one_face, k, states_sds(s) ? 1.0 : 0.0});
    // The deviation from the mean of n readings is a little less than that of one.
    const double largest = std::max(unturned.largest(), zenith.largest());
    if (largest > kDisagree) out_.facts.push_back({SightFactKind::rounds_disagree, k, largest});
    set_distance(k);
  }

  void set_angles(std::size_t k, const Faces& circle, const Faces& zenith) {
    Sight& s = out_.sights[k];
    s.circle_face = circle.sign(), s.zenith_face = zenith.sign();
    if (circle.any()) {
      s.circle = CircleReading::degrees(circle.mean());
      s.circle_sd = Angle::degrees(circle.sd());
    }
    if (zenith.any()) {
      s.zenith = ZenithAngle::degrees(zenith.mean());
      s.zenith_sd = Angle::degrees(zenith.sd());
    }
    if (!circle.both() && !zenith.both()) return;
    FaceHalf half{k, {}, {}};
    if (circle.both()) half.circle = Angle::degrees(circle.half()), half.circle_sd = s.circle_sd;
    if (zenith.both()) half.zenith = Angle::degrees(zenith.half()), half.zenith_sd = s.zenith_sd;
    out_.halves.push_back(half);
  }

  bool states_sds(const Sight& s) const {
    return std::ranges::all_of(s.readings, [&](std::size_t i) {
      const Reading& r = readings_[i];
      return (!r.circle || r.circle_sd) && (!r.zenith || r.zenith_sd);
    });
  }

  /// Distances of one sight share their constant errors: they agree better than their sd, or one is bad.
  void tell_distances(std::size_t k, const std::vector<double>& lengths) {
    if (lengths.size() < 2) return;
    const double mean = mean_of(lengths);
    double most = 0;
    for (const double length : lengths) most = std::max(most, std::fabs(length - mean));
    const double sd =
        distance_sd_at(Length::metres(mean), out_.sights[k].distance_sd, instrument_.distance_ppm).metres();
    if (most > kDisagree * sd) out_.facts.push_back({SightFactKind::distances_disagree, k, most / sd});
  }

  void set_distance(std::size_t k) {
    Sight& s = out_.sights[k];
    std::vector<double> slopes, horizontals;
    for (const std::size_t i : s.readings) {
      if (readings_[i].slope) slopes.push_back(corrected(readings_[i]));
      if (readings_[i].horizontal) horizontals.push_back(readings_[i].horizontal->metres());
    }
    tell_distances(k, slopes);
    tell_distances(k, horizontals);
    if (!slopes.empty() && !s.zenith) out_.facts.push_back({SightFactKind::slope_without_zenith, k, 0});
    const std::optional<double> refraction = instrument_.refraction;
    if (horizontals.empty()) {
      if (slopes.empty()) return;
      s.slope = Length::metres(mean_of(slopes));
      if (!s.zenith) return;
      const Reach reach = reach_of({*s.zenith, *s.slope}, refraction);
      s.horizontal = reach.horizontal;
      s.rise = reach.rise;
      return;
    }
    s.reduced = true;
    if (s.zenith)
      for (const double slope : slopes)
        horizontals.push_back(reach_of({*s.zenith, Length::metres(slope)}, refraction).horizontal.metres());
    s.horizontal = Length::metres(mean_of(horizontals));
    if (s.zenith) s.rise = reach_of(line_over(*s.horizontal, *s.zenith, refraction), refraction).rise;
  }

  // Collimation, trunnion axis and index error from the half differences.
  void judge_instrument() {
    set_bad_faces_aside();
    std::vector<FaceHalf> circles;
    for (const FaceHalf& h : out_.halves)
      if (h.circle) circles.push_back(h);
    out_.errors.pairs = circles.size();
    judge_index();
    if (circles.empty()) return;
    bool steep = false;
    for (const FaceHalf& h : circles) steep = steep || std::fabs(90 - zenith_of(h)) > kSteepSight;
    Solution s = fit_halves(circles, steep && circles.size() >= 4 ? 2 : 1);
    if (!s.full_rank) s = fit_halves(circles, 1);
    if (!s.full_rank) return;
    out_.errors.collimation = Angle::degrees(s.parameters[0]);
    out_.errors.collimation_sd = Angle::degrees(std::sqrt(s.covariance(0, 0)));
    if (s.parameters.size() == 2) {
      out_.errors.trunnion = Angle::degrees(s.parameters[1]);
      out_.errors.trunnion_sd = Angle::degrees(std::sqrt(s.covariance(1, 1)));
    }
    for (std::size_t i = 0; i < circles.size(); ++i)
      if (s.standardised[i] && std::fabs(*s.standardised[i]) > kDisagree)
        out_.facts.push_back({SightFactKind::faces_disagree, circles[i].sight, *s.standardised[i]});
  }

  /// Faces that disagree, against the median of the setup, which one bad reading does not move: told, and not
  /// used for the instrument's errors.
  void set_bad_faces_aside() {
    std::vector<double> circles, zeniths;
    for (const FaceHalf& h : out_.halves) {
      if (h.circle) circles.push_back(h.circle->degrees() * sine(zenith_of(h)));
      if (h.zenith) zeniths.push_back(h.zenith->degrees());
    }
    constexpr std::size_t kLeast = 3;  // of two nobody knows which is bad
    for (FaceHalf& h : out_.halves) {
      if (h.zenith && zeniths.size() >= kLeast) {
        const double off = (h.zenith->degrees() - median(zeniths)) / h.zenith_sd.degrees();
        if (std::fabs(off) > kFarOff) {
          out_.facts.push_back({SightFactKind::zeniths_disagree, h.sight, off});
          h.zenith.reset();
        }
      }
      if (!h.circle || circles.size() < kLeast) continue;
      const double s = sine(zenith_of(h));
      const double off = (h.circle->degrees() - median(circles) / s) / h.circle_sd.degrees();
      const bool is_level = std::fabs(90 - zenith_of(h)) <= kSteepSight;  // else the tilting axis shows
      if (!is_level || std::fabs(off) <= kFarOff) continue;
      out_.facts.push_back({SightFactKind::faces_disagree, h.sight, off});
      h.circle.reset();
    }
  }
  static double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
  }

  double zenith_of(const FaceHalf& h) const {
    const auto& z = out_.sights[h.sight].zenith;
    return z ? z->degrees() : 90;
  }

  Solution fit_halves(std::span<const FaceHalf> circles, std::size_t unknowns) const {
    LinearProblem p;
    p.design = Matrix(circles.size(), unknowns);
    for (std::size_t i = 0; i < circles.size(); ++i) {
      const double z = zenith_of(circles[i]), s = std::max(sine(z), 1e-3);
      p.design(i, 0) = 1 / s;
      if (unknowns == 2) p.design(i, 1) = cosine(z) / s;
      p.observed.push_back(circles[i].circle->degrees());
      p.sds.push_back(circles[i].circle_sd.degrees());
    }
    return solve(p);
  }

  void judge_index() {
    FaceMean index;
    for (const FaceHalf& h : out_.halves)
      if (h.zenith) index.add(h.zenith->degrees(), h.zenith_sd.degrees());
    if (index.count() == 0) return;
    out_.errors.index = Angle::degrees(index.value());
    out_.errors.index_sd = Angle::degrees(std::sqrt(index.variance()));
  }

  std::span<const Reading> readings_;
  const InstrumentOptions& instrument_;
  double ppm_;
  std::vector<std::vector<std::size_t>> sights_of_;  // of every target
  std::vector<double> turn_of_;                      // of every reading, degrees: what its round turned by
  Reduction out_;
};

}  // namespace

CircleReading circle_for(Azimuth azimuth, Angle orientation) {
  return CircleReading::degrees(azimuth.degrees() - orientation.degrees());
}

double group_refractivity(double wavelength) {
  const double w2 = wavelength * wavelength * 1e-6;
  return 287.6155 + 4.88660 / w2 + 0.06800 / (w2 * w2);
}

double air_refractivity(double wavelength, double temperature, double pressure, double humidity) {
  const double kelvin = kFreezing + temperature;
  const double vapour = humidity / 100 * 6.1078 * std::exp(17.269 * temperature / (237.3 + temperature));
  return kFreezing / kStandardPressure * group_refractivity(wavelength) * pressure / kelvin -
         11.27 * vapour / kelvin;
}

bool face_agrees(const Reading& reading) {
  if (!reading.zenith) return true;
  const bool beyond = reading.zenith->degrees() > 180;
  return (reading.face == 2) == beyond;
}

Reduction reduce(std::span<const Reading> readings, const InstrumentOptions& instrument) {
  assert(instrument.angle_sd && instrument.distance_sd);
  return Reducer(readings, instrument).run();
}

Reach reach_of(const Line& line, std::optional<double> refraction) {
  const double s = line.slope.metres();
  const double across = s * sine(line.zenith.degrees()), up = s * cosine(line.zenith.degrees());
  if (!refraction) return {Length::metres(across), Length::metres(up)};
  return {Length::metres(across - (1 - *refraction / 2) * across * up / kEarthRadius),
          Length::metres(up + (1 - *refraction) * across * across / (2 * kEarthRadius))};
}

Line line_to(const Reach& reach, std::optional<double> refraction) {
  const double hd = reach.horizontal.metres(), rise = reach.rise.metres();
  double across = hd, up = rise;
  // A contraction by distance over the earth's radius: three rounds leave nothing that a double could hold.
  for (int round = 0; refraction && round < 6; ++round) {
    up = rise - (1 - *refraction) * across * across / (2 * kEarthRadius);
    across = hd / (1 - (1 - *refraction / 2) * up / kEarthRadius);
  }
  return {ZenithAngle::degrees(std::atan2(across, up) * 180 / std::numbers::pi),
          Length::metres(std::hypot(across, up))};
}

Line line_over(Length horizontal, ZenithAngle zenith, std::optional<double> refraction) {
  const double s = sine(zenith.degrees()), c = cosine(zenith.degrees());
  double slope = horizontal.metres() / s;
  for (int round = 0; refraction && round < 6; ++round)
    slope = horizontal.metres() / (s * (1 - (1 - *refraction / 2) * slope * c / kEarthRadius));
  return {zenith, Length::metres(slope)};
}

Length distance_sd_at(Length horizontal, Length constant, double ppm) {
  return constant + abs(horizontal) * (ppm * 1e-6);
}

Length rise_sd(const Sight& sight, double ppm) {
  const double s = sine(sight.zenith->degrees()), c = cosine(sight.zenith->degrees());
  const Length distance = sight.reduced ? *sight.horizontal : *sight.slope;
  const double by_distance = distance_sd_at(distance, sight.distance_sd, ppm).metres();
  const double angle = distance.metres() * sight.zenith_sd.radians();
  // rise = S cos z, or HD cot z
  return Length::metres(sight.reduced ? std::hypot(c / s * by_distance, angle / (s * s))
                                      : std::hypot(c * by_distance, s * angle));
}

}  // namespace deckmark
