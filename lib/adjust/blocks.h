#pragma once
/// Least squares with many small blocks of unknowns (points) that hang together by few shared ones (setups,
/// constants). Plain numbers, no frames.
///
/// Every equation names unknowns of one block at most, and shared ones. Blocks are eliminated one by one
/// (Householder QR of a few columns), what is left of their equations is a dense problem of the shared
/// unknowns alone. Covariances are never held as one matrix: `covariance` gives J Sigma J' of what is asked.
/// Source: partitioned QR, Golub and Van Loan, Matrix Computations, 4th ed., 6.3 (from memory).

#include <cstddef>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "adjust/matrix.h"

namespace deckmark {

/// An unknown with its factor in a linear form.
struct Term {
  std::size_t unknown = 0;
  double factor = 0;
};
/// A linear form of unknowns; an unknown may stand in it more than once.
using LinearForm = std::vector<Term>;

/// One equation, weighted: form . x = right, sd 1.
struct BlockEquation {
  LinearForm form;
  double right = 0;
};

struct BlockProblem {
  std::size_t unknowns = 0;
  /// Block of each unknown, from 0; empty: shared.
  std::vector<std::optional<std::size_t>> blocks;
  std::vector<BlockEquation> equations;
};

/// A fall of the square sum that extra unknowns would bring, without a second fit.
struct Fall {
  double square_sum = 0;          ///< by which v'v falls
  std::vector<double> estimates;  ///< of the extra unknowns
  Matrix covariance;  ///< of the estimates; empty where the extra unknowns cannot be told from the rest
  bool determined = false;
};

class BlockSolution {
 public:
  /// REQUIRES every equation names unknowns of one block at most, finite numbers.
  explicit BlockSolution(BlockProblem problem);
  ~BlockSolution();
  BlockSolution(BlockSolution&&) noexcept;
  BlockSolution& operator=(BlockSolution&&) noexcept;

  bool full_rank() const { return open_.empty(); }
  /// Unknowns that take part in a combination that nothing fixes.
  const std::vector<std::size_t>& open() const { return open_; }
  /// REQUIRES full rank, and so has all below.
  const std::vector<double>& unknowns() const { return x_; }
  const std::vector<double>& residuals() const { return residuals_; }  ///< right - form . x, weighted
  double square_sum() const { return square_sum_; }
  std::size_t degrees_of_freedom() const { return degrees_of_freedom_; }
  /// J Sigma J' of linear forms.
  Matrix covariance(std::span<const LinearForm> forms) const;
  double variance(const LinearForm& form) const;
  /// Redundancy of an equation, 0 to 1.
  double redundancy(std::size_t equation) const;
  /// I - A Sigma A' of some equations: the covariance of their weighted residuals.
  Matrix residual_covariance(std::span<const std::size_t> equations) const;
  /// What an error model would explain: `columns[k]` are (equation, change of its right side by unknown k).
  Fall fall(std::span<const std::vector<Term>> columns) const;

 private:
  struct Parts;
  std::unique_ptr<Parts> parts_;
  std::vector<std::size_t> open_;
  std::vector<double> x_, residuals_;
  double square_sum_ = 0;
  std::size_t degrees_of_freedom_ = 0;
};

}  // namespace deckmark
