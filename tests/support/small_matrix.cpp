#include "small_matrix.h"

#include <cmath>
#include <utility>

namespace deckmark_test {

namespace {

constexpr Real kOpen = 1e-9L;       // of a pivot, against the largest weight
constexpr Real kUnchecked = 1e-7L;  // redundancies of less are rounding

}  // namespace

std::vector<std::vector<Real>> inverse(std::vector<std::vector<Real>> matrix) {
  const std::size_t n = matrix.size();
  std::vector<std::vector<Real>> out(n, std::vector<Real>(n, 0));
  Real largest = 0;
  for (std::size_t i = 0; i < n; ++i) out[i][i] = 1, largest = std::max(largest, std::abs(matrix[i][i]));
  for (std::size_t k = 0; k < n; ++k) {
    std::size_t pivot = k;
    for (std::size_t i = k + 1; i < n; ++i)
      if (std::abs(matrix[i][k]) > std::abs(matrix[pivot][k])) pivot = i;
    if (std::abs(matrix[pivot][k]) <= kOpen * largest) return {};
    std::swap(matrix[k], matrix[pivot]), std::swap(out[k], out[pivot]);
    const Real by = matrix[k][k];
    for (std::size_t j = 0; j < n; ++j) matrix[k][j] /= by, out[k][j] /= by;
    for (std::size_t i = 0; i < n; ++i) {
      const Real times = i == k ? 0 : matrix[i][k];
      if (times == 0) continue;
      for (std::size_t j = 0; j < n; ++j)
        matrix[i][j] -= times * matrix[k][j], out[i][j] -= times * out[k][j];
    }
  }
  return out;
}

Solution solve(std::size_t unknowns, const std::vector<Equation>& equations) {
  std::vector<std::vector<Real>> normal(unknowns, std::vector<Real>(unknowns, 0));
  std::vector<Real> right(unknowns, 0);
  for (const Equation& e : equations)
    for (const Term& a : e.terms) {
      const Real weight = 1 / (e.sd * e.sd);
      right[a.unknown] += weight * a.factor * e.value;
      for (const Term& b : e.terms) normal[a.unknown][b.unknown] += weight * a.factor * b.factor;
    }
  Solution out;
  out.cofactors = inverse(normal);
  if (unknowns > 0 && out.cofactors.empty()) return out;
  out.solved = true;
  for (std::size_t i = 0; i < unknowns; ++i) {
    Real value = 0;
    for (std::size_t j = 0; j < unknowns; ++j) value += out.cofactors[i][j] * right[j];
    out.unknowns.push_back(value);
    out.sds.push_back(std::sqrt(out.cofactors[i][i]));
  }
  for (const Equation& e : equations) {
    Real computed = 0, variance = 0;
    for (const Term& a : e.terms) {
      computed += a.factor * out.unknowns[a.unknown];
      for (const Term& b : e.terms) variance += a.factor * b.factor * out.cofactors[a.unknown][b.unknown];
    }
    const Real redundancy = 1 - variance / (e.sd * e.sd);
    out.residuals.push_back(e.value - computed);
    out.redundancies.push_back(redundancy < kUnchecked ? 0 : redundancy);
    out.standardised.push_back(
        redundancy < kUnchecked ? 0 : out.residuals.back() / (e.sd * std::sqrt(redundancy)));
  }
  return out;
}

}  // namespace deckmark_test
