#pragma once
// A floor as it is worked on: control round it, three setups, ties from two of them, deck points, marks of
// the list, and a later setup that stakes.

#include "simulation/net_world.h"

namespace net_test {

/// Setup 0 stands over control or over a point that the others sight, 1 and 2 are free, 3 comes later.
struct Floor {
  NetWorld world;
  std::vector<std::size_t> control, ties, deck, marks;
  static constexpr std::size_t kLater = 3;

  Floor(Noise& noise, const Sds& sds, double control_sd, bool over_control) : world(noise, sds) {
    for (std::size_t i = 0; i < 6; ++i) {  // round the floor
      const double way = 2 * std::numbers::pi * static_cast<double>(i) / 6 + noise.uniform(-0.3, 0.3);
      const double far = noise.uniform(20, 30);
      control.push_back(world.add_control(
          {far * std::cos(way), far * std::sin(way), 100 + noise.uniform(-0.3, 0.3)}, control_sd));
    }
    const auto somewhere = [&](double h) {
      return Spot{noise.uniform(-18, 18), noise.uniform(-18, 18), h + noise.uniform(-0.02, 0.02)};
    };
    for (int i = 0; i < 5; ++i) ties.push_back(world.add_point(somewhere(100)));
    for (int i = 0; i < 4; ++i) deck.push_back(world.add_point(somewhere(104)));
    for (int i = 0; i < 4; ++i) marks.push_back(world.add_point(somewhere(100)));
    if (over_control) {
      world.stand_over(control[noise.below(control.size())]);
    } else {
      below_ = world.add_point({noise.uniform(-4, 4), noise.uniform(-4, 4), 100});
      world.stand_over(*below_);
    }
    world.stand_at({noise.uniform(4, 10), noise.uniform(-10, 10), 100});
    world.stand_at({noise.uniform(-10, -4), noise.uniform(-10, 10), 100});
    world.stand_at({noise.uniform(-4, 4), noise.uniform(4, 10), 100});
    sight_all(noise);
  }

 private:
  void sight_all(Noise& noise) {
    for (std::size_t s = 0; s <= kLater; ++s) {
      const std::size_t first = noise.below(control.size());
      std::size_t seen = 0;
      for (std::size_t k = 0; k < control.size() && seen < 4; ++k)
        if (see(s, control[(first + k) % control.size()])) ++seen;
      if (below_ && (s == 1 || s == 2)) see(s, *below_);
    }
    for (const std::size_t t : ties) see(1, t), see(2, t);
    for (std::size_t i = 0; i < deck.size(); ++i) see(i % 3, deck[i]);
    for (std::size_t i = 0; i < marks.size(); ++i) see(i % 3, marks[i]);
  }
  /// False for the point that the instrument stands over.
  bool see(std::size_t setup, std::size_t point) {
    if (world.standing(setup).over == point) return false;
    world.sight(setup, point);
    return true;
  }
  std::optional<std::size_t> below_;
};

/// A floor for the search of errors: control round it, points all over it, twenty sights from every setup, so
/// that each point is sighted from two setups or more. Setup 0 stands over control.
struct WideFloor {
  NetWorld world;
  std::vector<std::size_t> control, points;

  WideFloor(Noise& noise, const Sds& sds, double control_sd, std::size_t setups) : world(noise, sds) {
    const double half = 12 + 4 * static_cast<double>(setups);
    for (std::size_t i = 0; i < 6; ++i) {
      const double way = 2 * std::numbers::pi * static_cast<double>(i) / 6 + noise.uniform(-0.2, 0.2);
      control.push_back(world.add_control(
          {half * std::cos(way), half * std::sin(way), 100 + noise.uniform(-0.3, 0.3)}, control_sd));
    }
    const auto across = [&] { return noise.uniform(-half, half) * 0.8; };
    for (std::size_t i = 0; i < 6 * setups; ++i)
      points.push_back(world.add_point({across(), across(), 100 + noise.uniform(-0.3, 4)}));
    world.stand_over(control[0]);
    for (std::size_t s = 1; s < setups; ++s) world.stand_at({across() / 2, across() / 2, 100});
    plan_sights();
  }

  /// Points that a setup sights, in their order; control comes first.
  const std::vector<std::size_t>& plan(std::size_t setup) const { return plan_[setup]; }
  void sight_all() {
    sight_all([&](std::size_t s, std::size_t, std::size_t p) { world.sight(s, p); });
  }
  /// `read` is called with setup, place among its sights, point.
  template <class Read>
  void sight_all(Read read) {
    for (std::size_t s = 0; s < plan_.size(); ++s)
      for (std::size_t k = 0; k < plan_[s].size(); ++k) read(s, k, plan_[s][k]);
  }

 private:
  void plan_sights() {
    std::size_t next = 0;
    for (std::size_t s = 0; s < world.standings().size(); ++s) {
      std::vector<std::size_t> mine;
      for (const std::size_t c : control)
        if (!is_near(s, c)) mine.push_back(c);
      for (std::size_t tried = 0; mine.size() < 20 && tried < 2 * points.size(); ++tried) {
        const std::size_t p = points[next++ % points.size()];
        if (!is_near(s, p) && std::find(mine.begin(), mine.end(), p) == mine.end()) mine.push_back(p);
      }
      plan_.push_back(mine);
    }
  }
  bool is_near(std::size_t setup, std::size_t point) const {
    const Spot& a = world.standings()[setup].ground;
    const Spot& b = world.truth(point);
    return std::hypot(a.n - b.n, a.e - b.e) < 3;
  }
  std::vector<std::vector<std::size_t>> plan_;
};

}  // namespace net_test
