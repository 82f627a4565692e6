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

/// By how much a sight's direction lies clockwise of the point that its name has.
double turn_of(const NetInput& input, const Solved& solved, const SeenApart& seen) {
  const Sight& sight = input.setups[seen.setup].sights[seen.sight];
  const auto& at = solved.values.setups[seen.setup];
  const auto& to = solved.values.points[seen.point];
  const double way = std::atan2(to.e - at.e, to.n - at.n);
  return std::remainder(sight.circle->radians() + at.turn - way, 2 * std::numbers::pi);
}

/// Names apart in one setup that all lie turned alike, the first sight of them; nothing where they do not.
std::optional<Wrong> turned_setup(const NetInput& input, const Solved& solved,
                                  const std::vector<const SeenApart*>& mine) {
  constexpr double kAlike = 0.01;  // rad
  if (mine.size() < 2) return std::nullopt;
  const double turn = turn_of(input, solved, *mine.front());
  if (std::fabs(turn) < kAlike) return std::nullopt;
  Wrong w;
  w.kind = WrongKind::turned;
  w.setup = mine.front()->setup, w.sight = mine.front()->sight, w.point = mine.front()->point;
  for (const SeenApart* seen : mine) {
    if (std::fabs(std::remainder(turn_of(input, solved, *seen) - turn, 2 * std::numbers::pi)) > kAlike)
      return std::nullopt;
    w.sight = std::min(w.sight, seen->sight);
  }
  w.angle = Angle::radians(turn);
  w.strength = static_cast<double>(mine.size()) * std::fabs(turn) / kAlike;
  return w;
}

}  // namespace

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
    for (const SeenApart* seen : mine) {
      Wrong w;
      w.kind = WrongKind::target;
      w.setup = seen->setup, w.sight = seen->sight, w.point = seen->point;
      w.length = seen->apart;
      w.strength = seen->apart.metres() / kSamePlace;
      std::size_t others = 0;
      for (std::size_t t = 0; t < input.setups.size(); ++t)
        for (std::size_t k = 0; t != s && k < solved.part.point[t].size(); ++k)
          if (solved.part.point[t][k] == seen->point) {
            Wrong other = w;
            other.setup = t, other.sight = k;
            w.others.push_back(std::move(other));
            ++others;
            break;
          }
      if (others > 1) w.others.clear();  // two that agree outvote one
      w.certain = w.others.empty();
      out.push_back(std::move(w));
    }
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
