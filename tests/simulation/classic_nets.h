#pragma once
/// Nets as textbooks have them: an instrument over every point or over some, directions, distances or both
/// between the points, a few of them control. No coordinates of the rest are given to start from.

#include <cmath>
#include <numbers>
#include <optional>
#include <set>
#include <vector>

#include "simulation/dense_net.h"
#include "support/noise.h"

namespace dense_net {

struct ClassicNetOptions {
  double circles = 1, distances = 0;  ///< share of the lines on which each is read
  double occupied = 1;                ///< share of the new points over which an instrument stands
  double lines = 0.8;                 ///< share of all lines that are read from either end
  double control_sd = 0;
};

/// A net with its errors; nothing where its readings may leave two nets that fit, or a place that is not
/// known to 0.3 m.
inline std::optional<Net> classic_net(deckmark_test::Noise& noise, const ClassicNetOptions& options) {
  const auto chance = [&](double p) { return noise.uniform() < p; };
  Net net;
  // Distances alone leave the hand to three points of control.
  const std::size_t control = (options.circles == 1 ? 2 : 3) + noise.below(3), fresh = 1 + noise.below(6);
  for (std::size_t i = 0; i < control + fresh; ++i) {
    Mark m{noise.uniform(0, 1500), noise.uniform(0, 1500), 0};
    m.has_height = false;
    m.is_control = i < control;
    m.sd = m.is_control ? options.control_sd : 0;
    net.marks.push_back(m);
  }
  for (std::size_t i = 0; i < net.marks.size(); ++i)
    for (std::size_t j = 0; j < i; ++j)
      if (std::hypot(net.marks[i].n - net.marks[j].n, net.marks[i].e - net.marks[j].e) < 150)
        return std::nullopt;
  std::vector<std::set<std::size_t>> seen(net.marks.size());
  for (std::size_t i = 0; i < net.marks.size(); ++i) {
    const Mark& from = net.marks[i];
    if (!from.is_control && !chance(options.occupied)) continue;
    std::vector<Ray> rays;
    const double turn = noise.uniform(-3, 3);
    std::size_t circles = 0;
    for (std::size_t j = 0; j < net.marks.size(); ++j) {
      if (i == j || !chance(options.lines) || (from.is_control && net.marks[j].is_control && chance(0.3)))
        continue;
      Ray r;
      r.stand = net.stands.size(), r.mark = j;
      const double dn = net.marks[j].n - from.n, de = net.marks[j].e - from.e;
      r.circle_sd = noise.uniform(5e-6, 2e-5), r.slope_sd = noise.uniform(0.003, 0.01);
      if (chance(options.circles)) {
        const double circle = std::atan2(de, dn) - turn + r.circle_sd * noise.normal();
        r.circle = circle - 2 * std::numbers::pi * std::floor(circle / (2 * std::numbers::pi));
      }
      if (chance(options.distances)) r.horizontal = std::hypot(dn, de) + r.slope_sd * noise.normal();
      if (!r.circle && !r.horizontal) continue;
      circles += r.circle ? 1U : 0U;
      rays.push_back(r);
    }
    if (rays.empty()) continue;
    if (circles == 1)  // a lone circle says nothing
      for (Ray& r : rays) r.circle.reset();
    std::erase_if(rays, [](const Ray& r) { return !r.circle && !r.horizontal; });
    if (rays.empty()) continue;
    for (const Ray& r : rays) seen[r.mark].insert(i), seen[i].insert(r.mark);
    net.stands.push_back({i, from.n, from.e, 0, turn, 0});
    net.rays.insert(net.rays.end(), rays.begin(), rays.end());
  }
  for (std::size_t i = 0; i < net.marks.size(); ++i)
    if (seen[i].size() < (net.marks[i].is_control ? 2 : 3)) return std::nullopt;
  for (Mark& m : net.marks) m.n += m.sd * noise.normal(), m.e += m.sd * noise.normal();
  const Adjusted tried = adjust(net);
  if (!tried.settled || tried.degrees_of_freedom < 4 || tried.observations < tried.unknowns)
    return std::nullopt;
  for (const Place& p : tried.marks)
    if (!(p.sd_n < 0.3 && p.sd_e < 0.3)) return std::nullopt;
  return net;
}

}  // namespace dense_net
