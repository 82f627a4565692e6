#pragma once
// Floors with several setups: truth to raw readings by the geometry of station_world.h, reduced and adjusted
// as one net.

#include <algorithm>
#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "simulation/station_world.h"
#include "station/net.h"

namespace net_test {

using namespace station_test;

inline constexpr double kRefraction = 0.13;
inline constexpr double kSecond = std::numbers::pi / 180 / 3600;

/// What a crew has: 2", 2 mm + 2 ppm, 1 mm of everything that is set up by hand.
inline Sds ordinary_gear() {
  return {
      .angle = 2 * kSecond, .distance = 0.002, .ppm = 2, .target = 0.001, .centring = 0.001, .height = 0.001};
}

/// One standing as it really was.
struct Standing {
  Instrument in;
  Spot ground;                      // the mark or the ground below
  std::optional<std::size_t> over;  // point that it stands over
  double height = 1.55;             // as stated
  double constant = 0;              // added to every distance: a wrong reflector
  std::vector<Reading> readings;    // targets are points of the world
};

class NetWorld {
 public:
  NetWorld(Noise& noise, const Sds& sds) : noise_(noise), sds_(sds) {}

  /// Control that was stated with an error of that sd, which is stated too.
  std::size_t add_control(const Spot& truth, double sd, bool has_elevation = true) {
    const double n = truth.n + sd * noise_.normal(), e = truth.e + sd * noise_.normal();
    const double h = truth.h + sd * noise_.normal();
    ControlMark c{at(n, e), std::nullopt, std::nullopt};
    if (has_elevation) c.elevation = Elevation::metres(h);
    if (sd > 0) c.sd = m(sd);
    truth_.push_back(truth);
    points_.push_back({c});
    return truth_.size() - 1;
  }
  std::size_t add_point(const Spot& truth) {
    truth_.push_back(truth);
    points_.emplace_back();
    return truth_.size() - 1;
  }
  /// Anywhere, or over a point with the errors of centring and of the taped height.
  std::size_t stand_at(const Spot& ground) { return stand(ground, std::nullopt); }
  std::size_t stand_over(std::size_t point) { return stand(truth_[point], point); }

  /// Reads a point, in its own place in the list; `as`: the name that the crew keyed.
  void sight(std::size_t standing, std::size_t point, Shot shot = {}, std::optional<std::size_t> as = {}) {
    Standing& s = standings_[standing];
    shot.target = as.value_or(point);
    shot.mark = truth_[point];
    shot.slope_error += s.constant;
    append(s.readings, read(s.in, shot, sds_, kRefraction, noise_));
  }

  NetResult adjust() {
    InstrumentOptions instrument = options_of(sds_);
    instrument.refraction = kRefraction;
    NetOptions options;
    options.setup.instrument = instrument;
    return adjust(options);
  }
  NetResult adjust(const NetOptions& options) {
    sights_.clear();
    for (const Standing& s : standings_)
      sights_.push_back(reduce(s.readings, options.setup.instrument).sights);
    std::vector<std::size_t> same(points_.size());
    for (std::size_t i = 0; i < same.size(); ++i) same[i] = i;
    std::vector<NetSetup> setups;
    for (std::size_t i = 0; i < standings_.size(); ++i) {
      NetSetup s;
      s.over = standings_[i].over;
      s.place = s.over ? SetupPlace::known : SetupPlace::free;
      s.instrument_height = m(standings_[i].height);
      s.sights = sights_[i];
      s.points = same;
      setups.push_back(s);
    }
    return adjust_net({setups, points_}, options);
  }

  /// The mark is struck after it was stated.
  void move(std::size_t point, const Spot& by) {
    truth_[point].n += by.n, truth_[point].e += by.e, truth_[point].h += by.h;
  }
  /// Nothing is known of the point but its sights.
  void forget_control(std::size_t point) { points_[point].control.reset(); }
  void state_control(std::size_t point, const ControlMark& c) { points_[point].control = c; }

  const Spot& truth(std::size_t point) const { return truth_[point]; }
  const std::optional<ControlMark>& stated(std::size_t point) const { return points_[point].control; }
  Standing& standing(std::size_t i) { return standings_[i]; }
  const std::vector<Standing>& standings() const { return standings_; }
  std::size_t points() const { return truth_.size(); }
  /// The point that a sight was keyed as, after `adjust`.
  std::size_t keyed(std::size_t setup, std::size_t sight) const { return sights_[setup][sight].target; }
  const std::vector<Sight>& sights(std::size_t setup) const { return sights_[setup]; }
  const Sds& sds() const { return sds_; }
  Noise& noise() { return noise_; }

 private:
  std::size_t stand(const Spot& ground, std::optional<std::size_t> over) {
    Standing s;
    s.ground = ground, s.over = over;
    s.in.axis = ground;
    if (over) {
      s.in.axis.n += sds_.centring * noise_.normal(), s.in.axis.e += sds_.centring * noise_.normal();
    }
    s.in.axis.h += s.height + sds_.height * noise_.normal();
    s.in.orientation = noise_.uniform(0, 6.28);
    standings_.push_back(s);
    return standings_.size() - 1;
  }

  Noise& noise_;
  Sds sds_;
  std::vector<Spot> truth_;
  std::vector<NetPoint> points_;
  std::vector<Standing> standings_;
  std::vector<std::vector<Sight>> sights_;
};

/// Draws of which so many fell inside.
struct Share {
  std::size_t inside = 0, of = 0;
  void add(bool is_inside) { inside += is_inside ? 1 : 0, ++of; }
  double percent() const { return of == 0 ? 0 : 100 * static_cast<double>(inside) / static_cast<double>(of); }
};

/// Whether an error lies in the 95 % ellipse of its covariance.
template <class Covariance>
bool in_ellipse(double n, double e, const Covariance& c) {
  const double determinant = c.first * c.second - c.cross * c.cross;
  return (n * n * c.second - 2 * n * e * c.cross + e * e * c.first) / determinant <= -2 * std::log(0.05);
}
/// Whether an error lies in its two-sided 95 %.
inline bool in_95(double error, double sd) { return std::fabs(error) <= 1.959963985 * sd; }

inline bool holds(const NetPlace& place, const Spot& truth) {
  return in_ellipse(place.at.at.northing.metres() - truth.n, place.at.at.easting.metres() - truth.e,
                    place.covariance);
}
inline bool holds_height(const NetPlace& place, const Spot& truth) {
  return in_95(place.elevation->above_datum().metres() - truth.h, place.elevation_sd->metres());
}

}  // namespace net_test
