#pragma once
// What a net says that is wrong, in one form for the tests.

#include <optional>
#include <vector>

#include "simulation/net_world.h"

namespace net_test {

struct Account {
  WrongKind kind = WrongKind::circle;
  std::optional<std::size_t> setup, point;  // point of the net
  std::size_t sight = 0;
  std::optional<std::size_t> other_sight;
  double length = 0;              // m
  double dn = 0, de = 0;          // m, of a mark that moved
  PlanCovariance<Site> spread{};  // of dn, de
  bool certain = true;
  std::vector<Account> others;
};

inline Account account_of(const NetWorld& world, const Wrong& wrong) {
  Account out{wrong.kind, wrong.setup, wrong.point, wrong.sight, {}, 0, 0, 0, {}, wrong.certain, {}};
  if (wrong.kind == WrongKind::exchanged) out.other_sight = wrong.other_sight;
  if (wrong.length) out.length = wrong.length->metres();
  if (wrong.kind == WrongKind::moved && wrong.seen_at && wrong.point) {
    const Point<Site>& stated = world.stated(*wrong.point)->at;
    out.dn = (wrong.seen_at->at.northing - stated.at.northing).metres();
    out.de = (wrong.seen_at->at.easting - stated.at.easting).metres();
    if (wrong.shift_covariance) out.spread = *wrong.shift_covariance;
  }
  for (const Wrong& other : wrong.others) out.others.push_back(account_of(world, other));
  return out;
}

inline std::vector<Account> accounts_of(const NetWorld& world, const NetResult& net) {
  std::vector<Account> out;
  for (const Wrong& wrong : net.wrong) out.push_back(account_of(world, wrong));
  return out;
}

}  // namespace net_test
