#pragma once
/// The same adjustment by normal equations, whole and dense: every height an unknown, every benchmark an
/// observation, a held one left out of the unknowns.

#include <cmath>
#include <optional>
#include <vector>

#include "heights_support.h"

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
  struct Row {
    std::vector<std::pair<std::size_t, double>> terms;
    double value, sd;
  };
  std::vector<Row> all;
  for (const DenseRow& r : rows) all.push_back({{{r.station, 1}, {stations + r.target, -1}}, r.value, r.sd});
  for (const Benchmark& b : benchmarks)
    if (b.sd) all.push_back({{{stations + b.target, 1}}, b.elevation.above_datum().metres(), b.sd->metres()});
  std::vector<std::size_t> column(n);
  std::size_t u = 0;
  for (std::size_t i = 0; i < n; ++i)
    if (!held[i]) column[i] = u++;
  using Real = long double;
  // [N | t | I], brought to [I | x | N^-1] with pivots.
  std::vector<std::vector<Real>> a(u, std::vector<Real>(2 * u + 1, 0));
  for (std::size_t i = 0; i < u; ++i) a[i][u + 1 + i] = 1;
  for (const Row& r : all) {
    Real right = r.value;
    for (const auto& [i, f] : r.terms)
      if (held[i]) right -= f * *held[i];
    const Real weight = 1 / (static_cast<Real>(r.sd) * r.sd);
    for (const auto& [i, f] : r.terms) {
      if (held[i]) continue;
      a[column[i]][u] += f * weight * right;
      for (const auto& [j, g] : r.terms)
        if (!held[j]) a[column[i]][column[j]] += f * weight * g;
    }
  }
  for (std::size_t k = 0; k < u; ++k) {
    std::size_t best = k;
    for (std::size_t i = k; i < u; ++i)
      if (std::fabs(a[i][k]) > std::fabs(a[best][k])) best = i;
    std::swap(a[k], a[best]);
    const Real pivot = a[k][k];
    for (Real& v : a[k]) v /= pivot;
    for (std::size_t i = 0; i < u; ++i) {
      const Real f = a[i][k];
      if (i == k || f == 0) continue;
      for (std::size_t j = k; j < a[i].size(); ++j) a[i][j] -= f * a[k][j];
    }
  }
  DenseResult out;
  const auto x = [&](std::size_t i) { return held[i] ? *held[i] : static_cast<double>(a[column[i]][u]); };
  const auto q = [&](std::size_t i, std::size_t j) {
    return held[i] || held[j] ? 0.0 : static_cast<double>(a[column[i]][u + 1 + column[j]]);
  };
  for (std::size_t s = 0; s < stations; ++s) out.stations.push_back(x(s));
  for (std::size_t t = stations; t < n; ++t) {
    out.targets.push_back(x(t));
    out.sds.push_back(std::sqrt(q(t, t)));
  }
  for (const Row& r : all) {
    double v = r.value, variance = 0;
    for (const auto& [i, f] : r.terms) {
      v -= f * x(i);
      for (const auto& [j, g] : r.terms) variance += f * g * q(i, j);
    }
    out.residuals.push_back(v);
    out.redundancy.push_back(1 - variance / (r.sd * r.sd));
    out.square_sum += v * v / (r.sd * r.sd);
  }
  out.spare = all.size() - u;
  return out;
}

}  // namespace heights_test
