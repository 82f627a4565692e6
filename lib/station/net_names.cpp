#include "station/net_names.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>
#include <utility>

namespace deckmark::net {

namespace {

constexpr double kSamePlace = 0.1;  // m: seen so near a point it is that point

class Names {
 public:
  Names(const NetInput& input, const Solved& solved) : input_(input), solved_(solved) {}

  /// Whether each of two names is seen where the other one lies.
  bool are_exchanged(const SeenApart& a, const SeenApart& b) const {
    return a.setup == b.setup && a.point != b.point && lies_at(a, b.point) && lies_at(b, a.point);
  }
  Wrong account(const SeenApart& a, const SeenApart& b) const {
    Wrong w = exchanged(a.setup, a.sight, b.sight, a.point);
    w.strength = a.apart.metres() / kSamePlace;
    for (std::size_t s = 0; s < input_.setups.size(); ++s) {
      if (s == a.setup) continue;
      const auto one = sight_of(s, a.point), two = sight_of(s, b.point);
      if (one && two) w.others.push_back(exchanged(s, *one, *two, a.point));
    }
    // Three that see both outvote one; a point that a third sees alone says who is right.
    if (w.others.size() != 1 || seen_from(a.point) > 1 || seen_from(b.point) > 1) w.others.clear();
    w.certain = w.others.empty();
    return w;
  }

 private:
  static Wrong exchanged(std::size_t setup, std::size_t sight, std::size_t other, std::size_t point) {
    Wrong w;
    w.kind = WrongKind::exchanged;
    w.setup = setup, w.point = point;
    w.sight = std::min(sight, other), w.other_sight = std::max(sight, other);
    return w;
  }
  bool lies_at(const SeenApart& seen, std::size_t point) const {
    const auto split = solved_.part.point[seen.setup][seen.sight];
    if (!split || *split < input_.points.size()) return false;
    const auto &a = solved_.values.points[*split], &b = solved_.values.points[point];
    return std::hypot(a.n - b.n, a.e - b.e) < kSamePlace;
  }
  /// The sight by which a setup sees a point where the net has it.
  std::optional<std::size_t> sight_of(std::size_t s, std::size_t point) const {
    const auto& of = solved_.part.point[s];
    const auto at = std::find(of.begin(), of.end(), std::optional(point));
    return at == of.end() ? std::nullopt : std::optional(static_cast<std::size_t>(at - of.begin()));
  }
  /// Setups that see a point where the net has it, control and a setup over it counted too.
  std::size_t seen_from(std::size_t point) const {
    std::size_t count = input_.points[point].control ? 1 : 0;
    for (std::size_t s = 0; s < input_.setups.size(); ++s)
      if (sight_of(s, point) || input_.setups[s].over == point) ++count;
    return count;
  }

  const NetInput& input_;
  const Solved& solved_;
};

/// Whether the place of a point hangs on more than this setup.
bool seen_by_others(const NetInput& input, const Solved& solved, std::size_t point, std::size_t setup) {
  if (input.points[point].control) return true;
  for (std::size_t t = 0; t < input.setups.size(); ++t) {
    const auto& of = solved.part.point[t];
    if (t != setup &&
        (input.setups[t].over == point || std::find(of.begin(), of.end(), std::optional(point)) != of.end()))
      return true;
  }
  return false;
}

/// By how much a sight is off the place that its name has: its direction, clockwise, and its distance.
struct Off {
  double turn = 0, reach = 0, longer = 0;
};
Off off_of(const NetInput& input, const Solved& solved, const SeenApart& seen) {
  const Sight& sight = input.setups[seen.setup].sights[seen.sight];
  const auto& at = solved.values.setups[seen.setup];
  const auto& to = solved.values.points[seen.point];
  const double way = std::atan2(to.e - at.e, to.n - at.n), reach = std::hypot(to.n - at.n, to.e - at.e);
  return {std::remainder(sight.circle->radians() + at.turn - way, 2 * std::numbers::pi), reach,
          sight.horizontal->metres() - reach};
}

Wrong accuse(WrongKind kind, const SeenApart& seen) {
  Wrong w;
  w.kind = kind;
  w.setup = seen.setup, w.sight = seen.sight, w.point = seen.point;
  w.strength = seen.apart.metres() / kSamePlace;
  return w;
}

/// A setup that turned: nothing that it sights from the first name apart on lies where it should. `mine`: in
/// the order of the sights. Nothing where it did not.
std::optional<Wrong> turned_setup(const NetInput& input, const Solved& solved,
                                  const std::vector<const SeenApart*>& mine) {
  constexpr double kAlike = 0.01;  // rad
  if (mine.size() < 2) return std::nullopt;
  const SeenApart& first = *mine.front();
  const double turn = off_of(input, solved, first).turn;
  if (std::fabs(turn) < kAlike) return std::nullopt;
  for (const SeenApart* seen : mine)
    if (std::fabs(std::remainder(off_of(input, solved, *seen).turn - turn, 2 * std::numbers::pi)) > kAlike)
      return std::nullopt;
  const auto& sights = input.setups[first.setup].sights;
  for (std::size_t k = first.sight; k < sights.size(); ++k) {
    const auto p = solved.part.point[first.setup][k];
    const bool stands =
        p && *p < input.points.size() && sights[k].circle && seen_by_others(input, solved, *p, first.setup);
    if (stands) return std::nullopt;
  }
  Wrong w = accuse(WrongKind::turned, first);
  w.angle = Angle::radians(turn);
  return w;
}

/// One name apart: what of the sight is off, and who else may be.
Wrong account_of(const NetInput& input, const Solved& solved, const SeenApart& seen) {
  const Off off = off_of(input, solved, seen);
  const bool reach_agrees = std::fabs(off.longer) < kSamePlace,
             way_agrees = std::fabs(off.turn) * off.reach < kSamePlace;
  Wrong w = accuse(reach_agrees ? WrongKind::circle
                   : way_agrees ? WrongKind::distance
                                : WrongKind::target,
                   seen);
  w.length = seen.apart;
  if (reach_agrees) w.angle = Angle::radians(off.turn), w.length = Length::metres(off.turn * off.reach);
  if (!reach_agrees && way_agrees) w.length = Length::metres(off.longer);
  if (input.points[seen.point].control) return w;
  for (std::size_t t = 0; t < input.setups.size(); ++t) {
    const auto& of = solved.part.point[t];
    const auto at = std::find(of.begin(), of.end(), std::optional(seen.point));
    if (t == seen.setup || at == of.end()) continue;
    Wrong other = accuse(WrongKind::target, seen);
    other.setup = t, other.sight = static_cast<std::size_t>(at - of.begin());
    w.others.push_back(std::move(other));
  }
  if (w.others.size() > 1) w.others.clear();  // two that agree outvote one
  w.certain = w.others.empty();
  if (!w.certain) w.kind = WrongKind::target;
  return w;
}

}  // namespace

std::vector<SeenApart> find_apart(const NetInput& input, const Solved& solved) {
  std::vector<SeenApart> out;
  for (std::size_t s = 0; s < input.setups.size(); ++s)
    for (std::size_t k = 0; k < solved.part.point[s].size(); ++k) {
      const auto p = solved.part.point[s][k];
      if (!p || *p < input.points.size()) continue;
      const std::size_t named = input.setups[s].points[input.setups[s].sights[k].target];
      const auto &a = solved.values.points[*p], &b = solved.values.points[named];
      out.push_back({named, s, k, Length::metres(std::hypot(a.n - b.n, a.e - b.e))});
    }
  return out;
}

std::vector<Wrong> accounts_of_apart(const NetInput& input, const Solved& solved,
                                     const std::vector<SeenApart>& apart) {
  std::vector<Wrong> out;
  for (std::size_t s = 0; s < input.setups.size(); ++s) {
    std::vector<const SeenApart*> mine;
    for (const SeenApart& seen : apart)
      if (seen.setup == s) mine.push_back(&seen);
    if (auto turned = turned_setup(input, solved, mine)) {
      out.push_back(std::move(*turned));
      continue;
    }
    for (const SeenApart* seen : mine) out.push_back(account_of(input, solved, *seen));
  }
  return out;
}

std::vector<Wrong> find_exchanged_names(const NetInput& input, const Solved& solved,
                                        std::vector<SeenApart>& apart) {
  const Names names(input, solved);
  std::vector<Wrong> out;
  for (std::size_t i = 0; i < apart.size(); ++i)
    for (std::size_t j = i + 1; j < apart.size(); ++j) {
      if (!names.are_exchanged(apart[i], apart[j])) continue;
      out.push_back(names.account(apart[i], apart[j]));
      apart.erase(apart.begin() + static_cast<std::ptrdiff_t>(j));
      apart.erase(apart.begin() + static_cast<std::ptrdiff_t>(i--));
      break;
    }
  return out;
}

}  // namespace deckmark::net
