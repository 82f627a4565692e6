#pragma once
/// Which stated coordinate is wrong, if one is, and which everyday blunder it would be.

#include "baseline/fit.h"

namespace deckmark {

/// A stated coordinate that the others contradict. Never dropped: the fit that is used keeps it.
struct WrongTie {
  std::size_t tie = 0;
  TieAxis axis = TieAxis::x;
  double standardised = 0, redundancy = 0;
  Length error, sd;  ///< estimated error of the stated coordinate (stated minus true), and its sd
  /// Others that explain the misfit as well as this one (tie, axis).
  std::vector<std::pair<std::size_t, TieAxis>> alike;
};

struct WrongTiesResult {
  double limit = 0;  ///< of a standardised residual: 3.29, or more where so many coordinates are tested that
                     ///< a set without fault would be accused more often than five times in a thousand
  std::vector<WrongTie> wrong;  ///< in the order in which they were found: remove, refit, test again
};
/// One at a time, by standardised residual. REQUIRES what `fit_baselines` requires.
[[nodiscard]] WrongTiesResult find_wrong_ties(std::span<const Tie> ties, const BaselineOptions& options);

/// What is left when a tie is left out entirely: where one tie is wrong, only its line is clean.
struct LeftOut {
  bool solved = false;
  Length largest_residual = Length::metres(0);  ///< of the rest
  std::optional<double> variance_factor;        ///< of the rest
};
[[nodiscard]] std::vector<LeftOut> leave_out_each(std::span<const Tie> ties, const BaselineOptions& options);

}  // namespace deckmark
