#pragma once
/// A net of the tests as the program takes it.

#include <map>
#include <numbers>
#include <utility>
#include <vector>

#include "simulation/dense_net.h"
#include "station/net.h"

namespace dense_net {

/// Holds what a `NetInput` views; neither copied nor moved.
class AsInput {
 public:
  explicit AsInput(const Net& net) : sights_(net.stands.size()) {
    using namespace deckmark;
    const auto m = [](double v) { return Length::metres(v); };
    std::vector<std::size_t> same;  // target index = net point
    for (std::size_t i = 0; i < net.marks.size(); ++i) {
      const Mark& from = net.marks[i];
      same.push_back(i);
      points_.emplace_back();
      if (!from.is_control) continue;
      ControlMark c{Point<Site>{{.northing = m(from.n), .easting = m(from.e)}}, std::nullopt, std::nullopt};
      if (from.has_height) c.elevation = Elevation::metres(from.h);
      if (from.sd > 0) c.sd = m(from.sd);
      points_.back().control = c;
    }
    for (std::size_t i = 0; i < net.rays.size(); ++i) {
      const Ray& from = net.rays[i];
      std::vector<Sight>& to = sights_[from.stand];
      at_.emplace_back(from.stand, to.size());
      Sight s;
      s.target = from.mark;
      s.target_height = m(from.target_height);
      s.readings = {to.size()};
      if (from.circle) s.circle = CircleReading::degrees(*from.circle * 180 / std::numbers::pi);
      s.circle_sd = Angle::radians(from.circle_sd), s.zenith_sd = Angle::radians(from.zenith_sd);
      s.distance_sd = m(from.slope_sd), s.target_sd = m(from.target_sd);
      if (from.zenith) s.zenith = ZenithAngle::degrees(*from.zenith * 180 / std::numbers::pi);
      if (from.slope) s.slope = m(*from.slope);
      if (from.horizontal) s.horizontal = m(*from.horizontal), s.reduced = true;
      if (from.slope && from.zenith) {
        s.horizontal = m(*from.slope * std::sin(*from.zenith));
        s.rise = m(*from.slope * std::cos(*from.zenith));
      }
      to.push_back(s);
    }
    for (std::size_t i = 0; i < net.stands.size(); ++i) {
      NetSetup s;
      s.place = net.stands[i].over ? SetupPlace::known : SetupPlace::free;
      s.over = net.stands[i].over;
      s.instrument_height = m(net.stands[i].height);
      s.sights = sights_[i];
      s.points = same;
      setups_.push_back(s);
    }
    options_.setup.instrument.angle_sd = Angle::radians(1e-5);
    options_.setup.instrument.distance_sd = m(0.001);
    options_.setup.instrument.centring_sd = m(net.sds.centring);
    options_.setup.instrument.height_sd = m(net.sds.height);
  }
  AsInput(const AsInput&) = delete;
  AsInput& operator=(const AsInput&) = delete;

  deckmark::NetInput input() const { return {setups_, points_}; }
  const deckmark::NetOptions& options() const { return options_; }
  /// Setup and sight of a ray.
  std::pair<std::size_t, std::size_t> sight_of(std::size_t ray) const { return at_[ray]; }

 private:
  std::vector<std::vector<deckmark::Sight>> sights_;
  std::vector<deckmark::NetSetup> setups_;
  std::vector<deckmark::NetPoint> points_;
  std::vector<std::pair<std::size_t, std::size_t>> at_;
  deckmark::NetOptions options_;
};

}  // namespace dense_net
