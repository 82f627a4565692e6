// Two targets under each other's names: the commonest slip that no single reading accounts for.
#include <algorithm>
#include <cmath>
#include <utility>

#include "adjust/statistics.h"
#include "station/setup_wrong.h"

namespace deckmark {

namespace {

constexpr double kCharge = 2 * 10.83;   // as a target that is wrong: two readings
constexpr double kSound = 0.001;        // the exchange must leave nothing to wonder at
constexpr double kAsGood = 6;           // square sums: exchanges nearer than this cannot be told apart
constexpr std::size_t kMostTargets = 20;  // beyond, the pairs would be many and the slip stands out by itself

/// The first sight to every control target.
std::vector<std::size_t> first_sights(const SetupInput& input) {
  std::vector<std::size_t> out;
  for (std::size_t s = 0; s < input.sights.size(); ++s) {
    const std::size_t target = input.sights[s].target;
    const bool known = std::ranges::any_of(out, [&](std::size_t o) { return input.sights[o].target == target; });
    if (input.targets[target] && !known) out.push_back(s);
  }
  return out;
}

/// The square sum with two targets exchanged; nothing where that does not fit.
std::optional<double> square_sum_of(const SetupInput& input, std::size_t one, std::size_t two, const SetupOptions& options) {
  std::vector<std::optional<ControlMark>> targets(input.targets.begin(), input.targets.end());
  std::swap(targets[one], targets[two]);
  SetupInput exchanged = input;
  exchanged.targets = targets;
  const PlanFit plan(exchanged, options);
  const PlanSolution s = plan.run(plan.everything());
  if (!s.enough || !s.fit.converged || s.fit.degrees_of_freedom == 0) return std::nullopt;
  if (chi_squared_upper_tail(s.fit.square_sum, static_cast<double>(s.fit.degrees_of_freedom)) < kSound) return std::nullopt;
  return s.fit.square_sum;
}

}  // namespace

std::optional<Exchange> find_exchanged(const SetupInput& input, const SetupOptions& options) {
  const std::vector<std::size_t> sights = first_sights(input);
  if (sights.size() > kMostTargets) return std::nullopt;
  std::optional<Exchange> best;
  double next = 0;  // the square sum of the second best
  std::size_t fitting = 0;
  for (std::size_t i = 0; i < sights.size(); ++i)
    for (std::size_t j = i + 1; j < sights.size(); ++j) {
      const auto sum = square_sum_of(input, input.sights[sights[i]].target, input.sights[sights[j]].target, options);
      if (!sum) continue;
      ++fitting;
      if (best && *sum >= best->square_sum) {
        next = fitting == 2 ? *sum : std::min(next, *sum);
        continue;
      }
      if (best) next = best->square_sum;
      best = Exchange{};
      best->wrong.kind = WrongKind::exchanged;
      best->wrong.sight = sights[i];
      best->wrong.other_sight = sights[j];
      best->square_sum = *sum;
    }
  if (!best || (fitting > 1 && next < best->square_sum + kAsGood)) return std::nullopt;
  best->score = best->square_sum + kCharge;
  return best;
}

double score_of(const Wrong& w, double square_sum) {
  const bool two = w.kind == WrongKind::target || w.kind == WrongKind::mark;
  return square_sum - w.strength * w.strength + kCharge / (two ? 1 : 2);
}

}  // namespace deckmark
