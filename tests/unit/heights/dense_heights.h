#pragma once
/// The same adjustment by normal equations, whole and dense: every height an unknown, every benchmark an
/// observation, a held one left out of the unknowns.

#include <optional>
#include <vector>

#include "heights_support.h"
#include "support/small_matrix.h"

namespace heights_test {

/// One observation: standing (set-ups, then lasers) less target.
struct DenseRow {
  std::size_t station = 0, target = 0;
  double value = 0, sd = 0;
};
struct DenseResult {
  std::vector<double> targets, sds, stations, residuals, redundancy;  ///< the last two one a row
  double square_sum = 0;
  std::size_t spare = 0;
};

/// REQUIRES that benchmarks tie all together.
inline DenseResult dense_heights(const std::vector<DenseRow>& rows, std::size_t stations, std::size_t targets,
                                 const std::vector<Benchmark>& benchmarks) {
  const std::size_t n = stations + targets;
  std::vector<std::optional<double>> held(n);
  for (const Benchmark& b : benchmarks)
    if (!b.sd) held[stations + b.target] = b.elevation.above_datum().metres();
  std::vector<std::size_t> column(n);
  std::size_t unknowns = 0;
  for (std::size_t i = 0; i < n; ++i)
    if (!held[i]) column[i] = unknowns++;
  std::vector<deckmark_test::Equation> equations;
  const auto add_term = [&](std::size_t i, double factor) {
    if (held[i])
      equations.back().value -= factor * *held[i];
    else
      equations.back().terms.push_back({column[i], factor});
  };
  for (const DenseRow& r : rows) {
    equations.push_back({{}, r.value, r.sd});
    add_term(r.station, 1);
    add_term(stations + r.target, -1);
  }
  for (const Benchmark& b : benchmarks)
    if (b.sd)
      equations.push_back(
          {{{column[stations + b.target], 1}}, b.elevation.above_datum().metres(), b.sd->metres()});
  const deckmark_test::Solution solved = deckmark_test::solve(unknowns, equations);
  const auto number = [](deckmark_test::Real r) { return static_cast<double>(r); };
  DenseResult out;
  for (std::size_t i = 0; i < n; ++i) {
    (i < stations ? out.stations : out.targets)
        .push_back(held[i] ? *held[i] : number(solved.unknowns.at(column[i])));
    if (i >= stations) out.sds.push_back(held[i] ? 0 : number(solved.sds.at(column[i])));
  }
  for (std::size_t k = 0; k < equations.size(); ++k) {
    const double v = number(solved.residuals[k]), sd = number(equations[k].sd);
    out.residuals.push_back(v);
    out.redundancy.push_back(number(solved.redundancies[k]));
    out.square_sum += v * v / (sd * sd);
  }
  out.spare = equations.size() - unknowns;
  return out;
}

}  // namespace heights_test
