#pragma once
/// Weighted least squares, linear and not, with the quality of everything that comes out. Plain numbers, no
/// frames.
///
/// Residuals are stated (observed) minus computed. Covariances come from the stated sds (sigma0 = 1) and are
/// not scaled by how well the data happened to fit; `variance_factor` says that. Method: Householder QR with
/// column pivoting of the weighted, column-scaled equations (Golub and Van Loan, Matrix Computations, 4th
/// ed., 5.4; from memory), never normal equations.

#include <cstddef>
#include <functional>
#include <optional>
#include <span>
#include <vector>

#include "adjust/matrix.h"

namespace deckmark {

/// Rank is judged on equations weighted by 1/sd and scaled to columns of length 1.
inline constexpr double kRankTolerance = 1e-12;
/// Redundancies below this are rounding: the observation is not checked at all.
inline constexpr double kNoRedundancy = 1e-9;
/// Limit of a standardised residual: alpha 0.001, two-sided normal.
inline constexpr double kWrongLimit = 3.29;

struct LinearProblem {
  Matrix design;                 ///< observations x parameters
  std::vector<double> observed;  ///< one an observation
  std::vector<double> sds;       ///< likewise, above zero
};

/// What planned observations would fix, and what they leave open.
struct Prediction {
  std::size_t rank = 0;
  bool full_rank = false;
  Matrix covariance;               ///< parameters x parameters; empty where the rank is short
  std::vector<double> redundancy;  ///< 0 unchecked to 1, one an observation; from the estimable part
  /// Basis of what is open, one column a combination of parameters (in the parameters' own units, each column
  /// scaled so that its largest column-scaled share is 1); no columns at full rank.
  Matrix open;
  std::vector<bool> parameter_open;  ///< parameters that take part in an open combination
};

struct Solution : Prediction {
  std::vector<double> parameters;  ///< empty where the rank is short
  std::vector<double> computed, residuals;
  std::vector<std::optional<double>> standardised;  ///< absent where the redundancy is 0
  double square_sum = 0;                            ///< v'Pv
  std::size_t degrees_of_freedom = 0;
  std::optional<double> variance_factor;  ///< v'Pv / degrees of freedom
};

/// Linear least squares. Where the rank is short only the `Prediction` part is filled.
/// REQUIRES as many rows as observations and sds, sds above zero, finite numbers.
[[nodiscard]] Solution solve(const LinearProblem& problem);

/// Covariance and redundancies from design and sds alone, before anything is observed.
[[nodiscard]] Prediction predict(const Matrix& design, std::span<const double> sds);

/// Fills the computed observations and their derivatives at the given parameters (both sized by the caller).
using Model =
    std::function<void(std::span<const double> parameters, std::span<double> computed, Matrix& design)>;

struct NonlinearOptions {
  int most_steps = 50;
  /// Done when a step changes no computed observation by more than this share of its sd (or of its rounding).
  double settled = 1e-10;
  /// Size of the terms behind any residual over its sd, where observed and computed do not show it.
  double magnitude = 0;
};

struct NonlinearSolution : Solution {
  bool converged = false;  ///< false too where the rank is short at some step
  int steps = 0;
};

/// Gauss-Newton with steps halved while the square sum rises. The quality is that at the last parameters.
[[nodiscard]] NonlinearSolution solve_nonlinear(std::span<const double> observed, std::span<const double> sds,
                                                std::span<const double> start, const Model& model,
                                                const NonlinearOptions& options = {});

/// Quality of any linear unbiased estimator x = G l of observations l with design A and independent sds S =
/// diag sd^2.
struct EstimatorQuality {
  std::vector<double> redundancy;         ///< diagonal of I - A G
  std::vector<double> residual_variance;  ///< diagonal of (I - A G) S (I - A G)'
  Matrix parameter_covariance;            ///< G S G'
};
[[nodiscard]] EstimatorQuality quality(const Matrix& estimator, const Matrix& design,
                                       std::span<const double> sds);

/// Standardised residuals, absent where nothing checks the observation.
std::vector<std::optional<double>> standardise(std::span<const double> residuals,
                                               const EstimatorQuality& quality);

/// What one adjustment says of each observation that it used, in the order of the kept ones.
struct Fitted {
  bool solved = false;
  std::vector<double> residuals, redundancy;
  std::vector<std::optional<double>> standardised;
};
struct WrongObservation {
  std::size_t index = 0;
  double standardised = 0, redundancy = 0;
  double error = 0;  ///< estimated error of the observation: residual / redundancy, as stated minus true
  std::vector<std::size_t>
      alike;  ///< others that explain the misfit as well: the largest cannot be told from these
};
/// Names wrong observations one at a time: the largest standardised residual over `limit` is set aside, the
/// rest fitted again and tested again. `refit` gets which observations are kept. Stops when nothing exceeds
/// the limit, when the rest no longer solves, or after `most`.
std::vector<WrongObservation> find_wrong(std::size_t observations, std::size_t most, double limit,
                                         const std::function<Fitted(const std::vector<bool>& kept)>& refit);
/// The same for a linear problem.
std::vector<WrongObservation> find_wrong(const LinearProblem& problem, std::size_t most,
                                         double limit = kWrongLimit);

}  // namespace deckmark
