#pragma once
/// Least squares by full normal equations in long double: slow, short, and nothing of lib/adjust.

#include <cstddef>
#include <vector>

namespace deckmark_test {

using Real = long double;

/// A coefficient of an unknown.
struct Term {
  std::size_t unknown = 0;
  Real factor = 0;
};
/// value = sum of the terms, with a standard deviation above zero.
struct Equation {
  std::vector<Term> terms;
  Real value = 0, sd = 1;
};

struct Solution {
  bool solved = false;                       ///< false where the equations leave an unknown open
  std::vector<Real> unknowns;                ///< best values
  std::vector<Real> sds;                     ///< of the unknowns, from the sds of the equations alone
  std::vector<Real> residuals;               ///< stated minus computed, one an equation
  std::vector<Real> redundancies;            ///< 0 unchecked to 1
  std::vector<Real> standardised;            ///< residual over its own sd; 0 where unchecked
  std::vector<std::vector<Real>> cofactors;  ///< covariance of the unknowns
};

Solution solve(std::size_t unknowns, const std::vector<Equation>& equations);

/// By elimination with the largest pivot; empty where the matrix is singular.
std::vector<std::vector<Real>> inverse(std::vector<std::vector<Real>> matrix);

}  // namespace deckmark_test
