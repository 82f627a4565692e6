#include "lift/turned.h"

#include <array>
#include <cassert>
#include <cmath>

#include "adjust/statistics.h"
#include "measure/verdict.h"

namespace deckmark {

namespace {

struct Pair {
  Vec<Site> mean, half_apart;
  double variance;  // m^2, per axis, of the mean
};

Vec<Site> between(const Vec<Site>& a, const Vec<Site>& b, double of_a, double of_b) {
  return {{.northing = of_a * a.by.northing + of_b * b.by.northing,
           .easting = of_a * a.by.easting + of_b * b.by.easting}};
}

}  // namespace

TurnsResult mean_of_turns(std::span<const MarkAtTurn> marks) {
  std::array<const MarkAtTurn*, 4> at{};
  for (const MarkAtTurn& m : marks) at[m.quarter] = &m;
  std::array<std::optional<Pair>, 2> pairs;
  for (std::size_t q = 0; q < pairs.size(); ++q) {
    if (at[q] == nullptr) continue;
    const MarkAtTurn &a = *at[q], &b = *at[opposite_quarter(q)];
    pairs[q] = {between(a.off, b.off, 0.5, 0.5), between(a.off, b.off, 0.5, -0.5),
                (a.sd.metres() * a.sd.metres() + b.sd.metres() * b.sd.metres()) / 4};
  }
  if (!pairs[0] || !pairs[1]) {
    assert(pairs[0] || pairs[1]);
    const Pair& only = pairs[0] ? *pairs[0] : *pairs[1];
    return {only.mean, Length::metres(std::sqrt(only.variance)), norm(only.half_apart), std::nullopt, false};
  }
  const auto& [first, second] = pairs;
  const Length lean = hypot(norm(first->half_apart), norm(second->half_apart)) / std::sqrt(2.0);
  const Length apart = norm(between(first->mean, second->mean, 1, -1));
  const double variance = first->variance + second->variance;
  const Length permitted = Length::metres(std::sqrt(chi_squared_quantile(0.999, 2) * variance));
  return {between(first->mean, second->mean, 0.5, 0.5), Length::metres(std::sqrt(variance) / 2), lean, apart,
          apart > permitted + kHair};
}

}  // namespace deckmark
