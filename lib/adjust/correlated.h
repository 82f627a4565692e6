#pragma once
/// Observations whose errors hang together: a full covariance in place of one sd each. Plain numbers, no
/// frames.

#include <cstddef>
#include <span>
#include <vector>

#include "adjust/matrix.h"
#include "adjust/solve.h"

namespace deckmark {

/// The triangular root L of a covariance V = L L' (Cholesky). What it whitens has independent errors of sd 1,
/// so that everything for independent observations serves.
class Whitening {
 public:
  /// REQUIRES a symmetric V without negative eigenvalues, its diagonal above zero. Where rounding has left no
  /// root, the least share of the diagonal that mends it (from 1e-14 of it up) is added.
  explicit Whitening(const Matrix& covariance);
  /// L^-1 v
  std::vector<double> operator()(std::span<const double> v) const;
  /// L^-1 M
  Matrix operator()(const Matrix& m) const;
  /// L'^-1 M: back from whitened weights to weights of the observations themselves.
  Matrix transposed(const Matrix& m) const;
  /// The smallest sd that any observation has beside those before it.
  double least_sd() const;
  /// v' V^-1 v
  double square_sum(std::span<const double> v) const;

 private:
  Matrix lower_;
};

/// As `solve_nonlinear` with sds, by V whitened. Redundancies and standardised residuals are left empty: they
/// are those of no single observation, see `quality` below.
[[nodiscard]] NonlinearSolution solve_nonlinear(std::span<const double> observed, const Whitening& whitening,
                                                std::span<const double> start, const Model& model);

/// Rows and columns of a symmetric matrix.
Matrix part_of(const Matrix& whole, std::span<const std::size_t> rows);

/// Quality of any linear unbiased estimator x = G l of observations l with design A and covariance V: as
/// `quality` for independent ones. A redundancy, the diagonal of I - A G, may lie under 0 or over 1 here;
/// their sum is still the degrees of freedom.
[[nodiscard]] EstimatorQuality quality(const Matrix& estimator, const Matrix& design,
                                       const Matrix& covariance);

/// What the others say of each observation.
struct SingleErrors {
  std::vector<double> errors;  ///< estimated: as stated minus true
  std::vector<double> sds;     ///< of it; 0 where nothing checks the observation
};
/// The best estimate of an error in each observation alone, with residuals v of least squares by V: with P =
/// V^-1 and Q the covariance of the residuals, (P v)_i / (P Q P)_ii, its sd 1 / sqrt (P Q P)_ii. Of
/// independent observations the residual over the redundancy. Baarda, Publications on Geodesy 2/5, 1968 (from
/// memory).
[[nodiscard]] SingleErrors single_errors(const Matrix& design, const Whitening& whitening,
                                         std::span<const double> residuals);

}  // namespace deckmark
