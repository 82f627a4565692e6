#include "station/sights.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numbers>

#include "adjust/solve.h"

namespace deckmark {

namespace {

constexpr double kEarthRadius = 6371000;       // m, as the contract states it
constexpr double kFreezing = 273.15;           // K
constexpr double kStandardPressure = 1013.25;  // hPa
constexpr double kDisagree = 3.29;             // alpha 0.001, two-sided normal
constexpr double kSteepSight = 25;             // degrees from level: where the trunnion axis begins to show

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

// A mean of values near each other, with the largest deviation from it.
struct Mean {
  std::size_t count = 0;
  double value = 0, largest = 0;
};
Mean mean_of(const std::vector<double>& values) {
  Mean out;
  out.count = values.size();
  if (values.empty()) return out;
  for (const double v : values) out.value += (v - values[0]) / static_cast<double>(values.size());
  out.value += values[0];
  for (const double v : values) out.largest = std::max(out.largest, std::fabs(v - out.value));
  return out;
}

// sd of the mean over n and m readings of the two faces, as a multiple of that of one pair.
double share(std::size_t n, std::size_t m) {
  const double a = static_cast<double>(n), b = static_cast<double>(m);
  if (n > 0 && m > 0) return std::sqrt((1 / a + 1 / b) / 2);
  return std::sqrt(2 / (a + b));
}

// What one sight says of the instrument: half differences of the faces, degrees.
struct Halves {
  std::size_t sight;
  double circle, circle_share;
  std::optional<double> zenith;
  double zenith_share;
};

class Reducer {
 public:
  Reducer(std::span<const Reading> readings, const InstrumentOptions& instrument)
      : readings_(readings), instrument_(instrument), ppm_(ppm_of(instrument)) {}

  Reduction run() {
    for (std::size_t i = 0; i < readings_.size(); ++i) add(i);
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

  double corrected(const Reading& r) const {
    const double slope = r.slope->metres();
    if (instrument_.distances == Distances::corrected) return slope;
    return slope * (1 + ppm_ * 1e-6) + r.reflector.value_or(instrument_.reflector).metres();
  }

  void reduce_one(std::size_t k) {
    Sight& s = out_.sights[k];
    const Reading& first = readings_[s.readings[0]];
    s.target = first.target;
    s.target_height = first.target_height;
    s.reflector = first.reflector;
    s.target_sd = first.target_sd.value_or(instrument_.target_sd);
    s.distance_sd = first.distance_sd.value_or(*instrument_.distance_sd);
    std::vector<double> circles[2], zeniths[2], slopes;
    std::optional<double> around;
    for (const std::size_t i : s.readings) {
      const Reading& r = readings_[i];
      const std::size_t f = r.face == 2 ? 1 : 0;
      if (r.circle) {
        if (!around) around = level_circle(r);
        circles[f].push_back(*around + wrapped(Angle::degrees(level_circle(r) - *around)).degrees());
      }
      if (r.zenith) zeniths[f].push_back(level_zenith(r));
      if (r.slope) slopes.push_back(corrected(r));
    }
    set_angles(k, circles, zeniths);
    if (slopes.empty()) return;
    s.slope = Length::metres(mean_of(slopes).value);
    if (!s.zenith) {
      out_.facts.push_back({SightFactKind::slope_without_zenith, k, 0});
      return;
    }
    const Reach reach = reach_of({*s.zenith, *s.slope}, instrument_.refraction);
    s.horizontal = reach.horizontal;
    s.rise = reach.rise;
  }

  void set_angles(std::size_t k, const std::vector<double> (&circles)[2],
                  const std::vector<double> (&zeniths)[2]) {
    Sight& s = out_.sights[k];
    const Mean c1 = mean_of(circles[0]), c2 = mean_of(circles[1]), z1 = mean_of(zeniths[0]),
               z2 = mean_of(zeniths[1]);
    s.face1 = c1.count;
    s.face2 = c2.count;
    if (c1.count + c2.count > 0) {
      s.circle = CircleReading::degrees(c1.count == 0   ? c2.value
                                        : c2.count == 0 ? c1.value
                                                        : (c1.value + c2.value) / 2);
      s.circle_sd = *instrument_.angle_sd * share(c1.count, c2.count);
    }
    if (s.circle && s.one_face()) out_.facts.push_back({SightFactKind::one_face, k, 0});
    // One reading of one face has sqrt(2) times the sd of a pair; its deviation from the mean of n a little
    // less.
    const double one = std::numbers::sqrt2 * instrument_.angle_sd->degrees();
    const double largest = std::max({c1.largest, c2.largest, z1.largest, z2.largest});
    if (one > 0 && largest > kDisagree * one)
      out_.facts.push_back({SightFactKind::rounds_disagree, k, largest / one});
    const bool both = z1.count > 0 && z2.count > 0;
    if (z1.count + z2.count > 0) {
      s.zenith = ZenithAngle::degrees(z1.count == 0   ? z2.value
                                      : z2.count == 0 ? z1.value
                                                      : (z1.value + z2.value) / 2);
      s.zenith_sd = *instrument_.angle_sd * share(z1.count, z2.count);
    }
    if (s.one_face()) return;
    Halves h{k, wrapped(Angle::degrees(c1.value - c2.value)).degrees() / 2, share(c1.count, c2.count),
             std::nullopt, 1};
    if (both) {
      h.zenith = (z1.value - z2.value) / 2;  // (z1 + z2 as read - 360) / 2
      h.zenith_share = share(z1.count, z2.count);
    }
    halves_.push_back(h);
  }

  // Collimation, trunnion axis and index error from the half differences; each half has the sd of a pair.
  void judge_instrument() {
    out_.errors.pairs = halves_.size();
    if (halves_.empty()) return;
    const double unit = instrument_.angle_sd->degrees() > 0 ? instrument_.angle_sd->degrees() : 1e-9;
    bool steep = false;
    for (const Halves& h : halves_) steep = steep || std::fabs(90 - zenith_of(h)) > kSteepSight;
    Solution s = fit_halves(unit, steep && halves_.size() >= 4 ? 2 : 1);
    if (!s.full_rank) s = fit_halves(unit, 1);
    if (!s.full_rank) return;
    out_.errors.collimation = Angle::degrees(s.parameters[0]);
    out_.errors.collimation_sd = Angle::degrees(std::sqrt(s.covariance(0, 0)));
    if (s.parameters.size() == 2) {
      out_.errors.trunnion = Angle::degrees(s.parameters[1]);
      out_.errors.trunnion_sd = Angle::degrees(std::sqrt(s.covariance(1, 1)));
    }
    for (std::size_t i = 0; i < halves_.size(); ++i)
      if (s.standardised[i] && std::fabs(*s.standardised[i]) > kDisagree)
        out_.facts.push_back({SightFactKind::faces_disagree, halves_[i].sight, *s.standardised[i]});
    judge_index(unit);
  }

  double zenith_of(const Halves& h) const {
    const auto& z = out_.sights[h.sight].zenith;
    return z ? z->degrees() : 90;
  }

  Solution fit_halves(double unit, std::size_t unknowns) const {
    LinearProblem p;
    p.design = Matrix(halves_.size(), unknowns);
    for (std::size_t i = 0; i < halves_.size(); ++i) {
      const double z = zenith_of(halves_[i]), s = std::max(sine(z), 1e-3);
      p.design(i, 0) = 1 / s;
      if (unknowns == 2) p.design(i, 1) = cosine(z) / s;
      p.observed.push_back(halves_[i].circle);
      p.sds.push_back(unit * halves_[i].circle_share);
    }
    return solve(p);
  }

  void judge_index(double unit) {
    double sum = 0, weights = 0;
    for (const Halves& h : halves_) {
      if (!h.zenith) continue;
      const double w = 1 / (h.zenith_share * h.zenith_share);
      sum += w * *h.zenith;
      weights += w;
    }
    if (weights == 0) return;
    out_.errors.index = Angle::degrees(sum / weights);
    out_.errors.index_sd = Angle::degrees(unit / std::sqrt(weights));
  }

  std::span<const Reading> readings_;
  const InstrumentOptions& instrument_;
  double ppm_;
  std::vector<std::vector<std::size_t>> sights_of_;  // of every target
  std::vector<Halves> halves_;
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

Reach reach_of(const Line& line, double refraction) {
  const double s = line.slope.metres();
  const double across = s * sine(line.zenith.degrees()), up = s * cosine(line.zenith.degrees());
  return {Length::metres(across - (1 - refraction / 2) * across * up / kEarthRadius),
          Length::metres(up + (1 - refraction) * across * across / (2 * kEarthRadius))};
}

Line line_to(const Reach& reach, double refraction) {
  const double hd = reach.horizontal.metres(), rise = reach.rise.metres();
  double across = hd, up = rise;
  // A contraction by distance over the earth's radius: three rounds leave nothing that a double could hold.
  for (int round = 0; round < 6; ++round) {
    up = rise - (1 - refraction) * across * across / (2 * kEarthRadius);
    across = hd / (1 - (1 - refraction / 2) * up / kEarthRadius);
  }
  return {ZenithAngle::degrees(std::atan2(across, up) * 180 / std::numbers::pi),
          Length::metres(std::hypot(across, up))};
}

Length distance_sd_at(Length horizontal, Length constant, double ppm) {
  return constant + abs(horizontal) * (ppm * 1e-6);
}

}  // namespace deckmark
