#pragma once
/// What is true of a job of staff and laser readings: heights with their sds, closures, and whether a check
/// is outside. By full normal equations and the sums of the lines as they were walked.

#include <cstddef>
#include <string>
#include <vector>

#include "staff_job.h"
#include "support/small_matrix.h"

namespace deckmark_test {

struct TrueHeight {
  double elevation = 0, sd = 0;   ///< m
  std::vector<std::string> from;  ///< set-ups, then standings, in the order in which they read it
};

struct TrueClosure {
  std::string what;  ///< of the line, or of the standing
  double off = 0, limit = 0;
  bool of_laser = false;
  bool is_outside() const;
  bool is_unclear() const;  ///< within a tenth of a micrometre of its limit
};

struct HeightsTruth {
  bool tied = false;                ///< every target hangs on a benchmark
  std::vector<std::size_t> order;   ///< targets that were read, as they were first read
  std::vector<TrueHeight> heights;  ///< by target; of those that were read
  std::vector<TrueClosure> closures;
  Real worst = 0;  ///< the largest standardised residual of a reading
  bool reading_outside = false;
  bool unclear = false;  ///< a hair, or a word that the contract leaves open, decides the status
  bool is_outside() const;
};

HeightsTruth heights_truth(const StaffJob& job);

/// Limit of a standardised residual among so many that are checked: 3.29, or the two-sided normal quantile of
/// 0.99^(1/checked), by halving.
double residual_limit(std::size_t checked);

/// Closure and limit of one line; whether it has one is `line.closed`.
TrueClosure closure_of(const StaffJob& job, const LevelLine& line);

}  // namespace deckmark_test
