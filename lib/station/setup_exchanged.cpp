// Targets under each other's names: the commonest slip that no single reading accounts for.
#include <algorithm>
#include <array>
#include <cmath>
#include <span>
#include <utility>

#include "adjust/statistics.h"
#include "station/setup_wrong.h"

namespace deckmark {

namespace {

constexpr double kUnknown = 10.83;        // as for any unknown: the square of 3.29
constexpr double kCharge = 2 * kUnknown;  // as a target that is wrong: two readings
constexpr double kRingCharge = 3 * kUnknown;
constexpr double kSound = 0.001;          // the exchange must leave nothing to wonder at
constexpr std::size_t kMostTargets = 20;  // beyond, the pairs would be many and the slip stands out by itself
constexpr std::size_t kMostForRings = 6;  // beyond, three wrong targets stand out, each where another one is
constexpr std::size_t kTold = 3;

/// The first sight to every control target.
std::vector<std::size_t> first_sights(const SetupInput& input) {
  std::vector<std::size_t> out;
  for (std::size_t s = 0; s < input.sights.size(); ++s) {
    const std::size_t target = input.sights[s].target;
    const bool known =
        std::ranges::any_of(out, [&](std::size_t o) { return input.sights[o].target == target; });
    if (input.targets[target] && !known) out.push_back(s);
  }
  return out;
}

/// A square sum that no solution comes below: that of the sights as a rigid sheet laid on their targets, each
/// weighted with the largest sd of all. Costs no fit.
double least_square_sum(const SetupInput& input, const SetupOptions& options) {
  struct Pair {
    double n, e, to_n, to_e;
  };
  std::vector<Pair> pairs;
  std::optional<Point<Site>> first;
  Pair mean{0, 0, 0, 0};
  double variance = 0;
  for (const Sight& s : input.sights) {
    const auto& target = input.targets[s.target];
    if (!target || !s.circle || !s.horizontal) continue;
    if (!first) first = target->at;
    const double way = s.circle->radians(), reach = s.horizontal->metres();
    const Vec<Site> to = target->at - *first;
    pairs.push_back(
        {reach * std::cos(way), reach * std::sin(way), to.by.northing.metres(), to.by.easting.metres()});
    const double along =
        distance_sd_at(*s.horizontal, s.distance_sd, options.instrument.distance_ppm).metres();
    const double across = reach * s.circle_sd.radians(), target_sd = s.target_sd.metres();
    const double control = target->sd ? target->sd->metres() : 0;
    variance = std::max(variance, std::max(along * along, across * across) + target_sd * target_sd +
                                      control * control + 1e-12);
  }
  const double count = static_cast<double>(pairs.size());
  for (const Pair& p : pairs)
    mean.n += p.n / count, mean.e += p.e / count, mean.to_n += p.to_n / count, mean.to_e += p.to_e / count;
  double cosine = 0, sine = 0, square = 0;
  for (const Pair& p : pairs) {
    const double n = p.n - mean.n, e = p.e - mean.e, to_n = p.to_n - mean.to_n, to_e = p.to_e - mean.to_e;
    cosine += n * to_n + e * to_e;
    sine += n * to_e - e * to_n;
    square += n * n + e * e + to_n * to_n + to_e * to_e;
  }
  return pairs.empty() ? 0 : std::max(square - 2 * std::hypot(cosine, sine), 0.0) / variance;
}

/// The square sum with the names put right; nothing where that does not fit.
std::optional<double> square_sum_of(const SetupInput& input, const Wrong& named,
                                    const SetupOptions& options) {
  const auto targets = targets_put_right(input, named);
  SetupInput exchanged = input;
  exchanged.targets = targets;
  const double readings = 2 * static_cast<double>(input.sights.size());
  if (chi_squared_upper_tail(least_square_sum(exchanged, options), readings) < kSound) return std::nullopt;
  const PlanFit plan(exchanged, options);
  const PlanSolution s = plan.run(plan.everything());
  if (!s.enough || !s.fit.converged || s.fit.degrees_of_freedom == 0) return std::nullopt;
  if (chi_squared_upper_tail(s.fit.square_sum, static_cast<double>(s.fit.degrees_of_freedom)) < kSound)
    return std::nullopt;
  return s.fit.square_sum;
}

}  // namespace

std::vector<std::optional<ControlMark>> targets_put_right(const SetupInput& input, const Wrong& exchanged) {
  std::vector<std::optional<ControlMark>> targets(input.targets.begin(), input.targets.end());
  std::vector<std::size_t> sights{exchanged.sight, exchanged.other_sight};
  if (exchanged.third_sight) sights.push_back(*exchanged.third_sight);
  for (std::size_t k = 0; k < sights.size(); ++k)
    targets[input.sights[sights[k]].target] =
        input.targets[input.sights[sights[(k + 1) % sights.size()]].target];
  return targets;
}

std::vector<Exchange> find_exchanged(const SetupInput& input, const SetupOptions& options, double most) {
  const std::vector<std::size_t> sights = first_sights(input);
  if (sights.size() > kMostTargets || kCharge > most) return {};
  std::vector<Exchange> out;
  const auto attempt = [&](std::span<const std::size_t> named) {
    Exchange e;
    e.wrong.kind = WrongKind::exchanged;
    e.wrong.sight = named[0];
    e.wrong.other_sight = named[1];
    if (named.size() > 2) e.wrong.third_sight = named[2];
    const auto sum = square_sum_of(input, e.wrong, options);
    if (!sum) return;
    e.square_sum = *sum;
    e.score = *sum + (named.size() > 2 ? kRingCharge : kCharge);
    out.push_back(std::move(e));
  };
  for (std::size_t i = 0; i < sights.size(); ++i)
    for (std::size_t j = i + 1; j < sights.size(); ++j) {
      attempt(std::array{sights[i], sights[j]});
      for (std::size_t k = j + 1; k < sights.size() && sights.size() <= kMostForRings && kRingCharge <= most;
           ++k) {
        attempt(std::array{sights[i], sights[j], sights[k]});
        attempt(std::array{sights[i], sights[k], sights[j]});
      }
    }
  std::ranges::stable_sort(out, {}, &Exchange::score);
  std::erase_if(out, [best = out.empty() ? 0.0 : out.front().score](const Exchange& e) {
    return e.score > best + kAsGood;
  });
  if (out.size() > kTold) out.resize(kTold);
  return out;
}

double score_of(const Wrong& w, double square_sum) {
  const bool two = w.kind == WrongKind::target || w.kind == WrongKind::mark;
  return square_sum - w.strength * w.strength + kCharge / (two ? 1 : 2);
}

}  // namespace deckmark
