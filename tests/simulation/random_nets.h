#pragma once
/// Nets at random, with their errors: steep and short sights, control with and without sds and elevations,
/// setups over points that others sight, chains of free setups, points by directions alone.

#include <cmath>
#include <numbers>
#include <vector>

#include "simulation/dense_net.h"
#include "support/noise.h"

namespace dense_net {

struct RandomNetOptions {
  std::size_t marks = 20, stands = 5;
  bool circle_only = true;      ///< some points are sighted by circle alone, from two setups
  bool distances_only = true;   ///< some setups read distances alone
  bool set_up_exactly = false;  ///< nothing but the readings has an error, as in published networks
  double size = 1;              ///< of the site in plan; 1: 60 m
  double north = 0, east = 0;   ///< where the site lies
};

class RandomNet {
 public:
  RandomNet(deckmark_test::Noise& noise, const RandomNetOptions& options) : noise_(noise), options_(options) {
    net.sds.centring = chance(0.6) && !options.set_up_exactly ? 0.001 : 0;
    net.sds.height = chance(0.6) && !options.set_up_exactly ? 0.001 : 0;
    const std::size_t control = 4 + noise.below(3);
    for (std::size_t i = 0; i < options.marks; ++i) add_mark(i, i < control);
    next_ = control;
    for (std::size_t i = 0; i < options.stands; ++i) add_stand(i);
    for (; next_ < net.marks.size(); ++next_) {
      const std::size_t stand = noise.below(net.stands.size());
      if (turns(stand)) sight(stand, next_, Part::polar);
    }
    if (options.circle_only && net.stands.size() > 1) add_directions();
    spread();
    put_errors();
  }
  Net net;

 private:
  enum class Part { polar, no_circle, circle, horizontal };

  bool chance(double p) { return noise_.uniform() < p; }

  void add_mark(std::size_t i, bool is_control) {
    Mark m{noise_.uniform(-30, 30), noise_.uniform(-30, 30), noise_.uniform(-8, 8)};
    if (is_control) {  // well apart
      const double way = 2.4 * static_cast<double>(i);
      m.n = noise_.uniform(15, 40) * std::cos(way), m.e = noise_.uniform(15, 40) * std::sin(way);
      m.is_control = true;
      m.has_height = i != 1;
      m.sd = chance(0.5) ? 0 : noise_.uniform(0.0005, 0.005);
    }
    net.marks.push_back(m);
  }

  void add_stand(std::size_t i) {
    Stand s;
    s.height = noise_.uniform(1.4, 1.7);
    s.turn = noise_.uniform(-3, 3);
    if (chance(0.4)) {
      s.over = noise_.below(next_);
      s.n = net.marks[*s.over].n, s.e = net.marks[*s.over].e;
      s.axis = net.marks[*s.over].h + s.height;
    } else {
      s.n = noise_.uniform(-25, 25), s.e = noise_.uniform(-25, 25);
      s.axis = noise_.uniform(-2, 2);
    }
    net.stands.push_back(s);
    const bool no_circle = options_.distances_only && !s.over && chance(0.15);
    const std::size_t known = next_;
    std::size_t least = no_circle ? 5 : 4;
    for (std::size_t tried = 0; least > 0 && tried < 200; ++tried)
      if (sight(i, noise_.below(known), no_circle ? Part::no_circle : Part::polar)) --least;
    if (no_circle) return;
    const std::size_t fresh = 1 + noise_.below(4);
    for (std::size_t k = 0; k < fresh && next_ < net.marks.size(); ++k)
      if (sight(i, next_, Part::polar)) ++next_;
    const std::size_t more = noise_.below(3);
    for (std::size_t k = 0; k < more; ++k) {
      const double kind = noise_.uniform();
      sight(i, noise_.below(next_), kind < 0.3 ? Part::circle : kind < 0.6 ? Part::horizontal : Part::polar);
    }
  }

  /// False where the mark is too near, or sighted from there already.
  bool sight(std::size_t stand, std::size_t mark, Part part) {
    const Stand& s = net.stands[stand];
    const Mark& m = net.marks[mark];
    if (std::hypot(m.n - s.n, m.e - s.e) < 2) return false;
    for (const Ray& r : net.rays)
      if (r.stand == stand && r.mark == mark) return false;
    Ray r;
    r.stand = stand, r.mark = mark;
    r.target_height = noise_.uniform(0, 2);
    r.target_sd = chance(0.7) && !options_.set_up_exactly ? 0.001 : 0;
    r.circle_sd = noise_.uniform(5e-6, 3e-5), r.zenith_sd = noise_.uniform(5e-6, 3e-5);
    r.slope_sd = noise_.uniform(0.0005, 0.003);
    if (part == Part::circle || part == Part::polar) r.circle = 0;
    if (part == Part::horizontal) r.horizontal = 0;
    if (part == Part::polar || part == Part::no_circle) r.slope = 0, r.zenith = 0;
    net.rays.push_back(r);
    return true;
  }

  /// Points that nothing but two or three directions fixes.
  void add_directions() {
    for (int k = 0; k < 3; ++k) {
      const Mark m{noise_.uniform(-30, 30), noise_.uniform(-30, 30), 0};
      std::vector<std::size_t> from;
      for (std::size_t s = 0; s < net.stands.size() && from.size() < 3; ++s) {
        const Stand& a = net.stands[s];
        bool good = std::hypot(m.n - a.n, m.e - a.e) > 3 && turns(s);
        for (const std::size_t other : from) {
          const Stand& b = net.stands[other];
          const double angle = std::atan2(m.e - a.e, m.n - a.n) - std::atan2(m.e - b.e, m.n - b.n);
          good = good && std::fabs(std::sin(angle)) > 0.4;
        }
        if (good) from.push_back(s);
      }
      if (from.size() < 2) continue;
      net.marks.push_back(m);
      for (const std::size_t s : from) sight(s, net.marks.size() - 1, Part::circle);
    }
  }
  bool turns(std::size_t stand) const {
    for (const Ray& r : net.rays)
      if (r.stand == stand && r.circle) return true;
    return false;
  }

  void spread() {
    const auto put = [&](auto& at) {
      at.n = options_.north + options_.size * at.n, at.e = options_.east + options_.size * at.e;
    };
    for (Mark& m : net.marks) put(m);
    for (Stand& s : net.stands) put(s);
  }

  void put_errors() {
    std::vector<Stand> truth = net.stands;
    for (Stand& s : truth) {
      if (!s.over) continue;
      s.n += net.sds.centring * noise_.normal(), s.e += net.sds.centring * noise_.normal();
      s.axis += net.sds.height * noise_.normal();
    }
    for (Ray& r : net.rays) {
      const Stand& s = truth[r.stand];
      const Mark& m = net.marks[r.mark];
      const double dn = m.n + r.target_sd * noise_.normal() - s.n,
                   de = m.e + r.target_sd * noise_.normal() - s.e;
      const double up = m.h + r.target_height + net.sds.height * noise_.normal() - s.axis;
      const double flat = std::hypot(dn, de);
      if (r.circle) {
        const double circle = std::atan2(de, dn) - s.turn + r.circle_sd * noise_.normal();
        r.circle = circle - 2 * std::numbers::pi * std::floor(circle / (2 * std::numbers::pi));
      }
      if (r.slope) {
        r.slope = std::hypot(flat, up) + r.slope_sd * noise_.normal();
        r.zenith = std::atan2(flat, up) + r.zenith_sd * noise_.normal();
      }
      if (r.horizontal) r.horizontal = flat + r.slope_sd * noise_.normal();
    }
    for (Mark& m : net.marks)
      if (m.is_control) {
        m.n += m.sd * noise_.normal(), m.e += m.sd * noise_.normal();
        m.h += m.sd * noise_.normal();
      }
  }

  deckmark_test::Noise& noise_;
  RandomNetOptions options_;
  std::size_t next_ = 0;
};

}  // namespace dense_net
