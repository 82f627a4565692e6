#pragma once
/// Published networks as the dense adjustment takes them.

#include <cmath>
#include <map>
#include <numbers>
#include <string>

#include "simulation/dense_net.h"
#include "support/network_folder.h"

namespace dense_net {

inline constexpr double kDegree = std::numbers::pi / 180, kSecond = kDegree / 3600;

struct NamedNet {
  Net net;
  std::map<std::string, std::size_t> marks, stands;  ///< by name
};

/// Starts are the published places; the published networks have no errors but those of their readings.
inline NamedNet net_of(const deckmark_test::Network& from) {
  NamedNet out;
  const auto mark = [&](const std::string& name) {
    const auto [at, is_new] = out.marks.emplace(name, out.net.marks.size());
    if (is_new) {
      Mark m;
      for (const deckmark_test::NetworkPlace& p : from.places)
        if (p.point == name) m = {p.northing->value, p.easting->value, p.elevation ? p.elevation->value : 0};
      out.net.marks.push_back(m);
    }
    return at->second;
  };
  for (const deckmark_test::NetworkControl& c : from.control)
    out.net.marks[mark(c.point)] = {
        c.northing, c.easting, c.elevation.value_or(0), true, c.elevation.has_value(), c.sd.value_or(0)};
  for (const deckmark_test::NetworkSetup& s : from.setups) {
    const std::size_t over = mark(s.point);
    const Mark& m = out.net.marks[over];
    out.stands[s.name] = out.net.stands.size();
    out.net.stands.push_back({over, m.n, m.e, m.h + s.height, 0, s.height});
  }
  std::map<std::size_t, bool> turned;
  for (const deckmark_test::NetworkReading& r : from.readings) {
    Ray ray;
    ray.stand = out.stands.at(r.setup), ray.mark = mark(r.target), ray.target_height = r.height;
    if (r.circle) ray.circle = *r.circle * kDegree;
    if (r.zenith) ray.zenith = *r.zenith * kDegree;
    ray.slope = r.slope, ray.horizontal = r.horizontal;
    ray.circle_sd = r.circle_sd.value_or(0) * kSecond, ray.zenith_sd = r.zenith_sd.value_or(0) * kSecond;
    ray.slope_sd = r.distance_sd.value_or(0);
    Stand& s = out.net.stands[ray.stand];
    if (ray.circle && !turned[ray.stand]) {
      const Mark& m = out.net.marks[ray.mark];
      s.turn = std::atan2(m.e - s.e, m.n - s.n) - *ray.circle;
      turned[ray.stand] = true;
    }
    out.net.rays.push_back(ray);
  }
  return out;
}

}  // namespace dense_net
