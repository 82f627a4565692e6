#pragma once
/// Which stated coordinate is wrong, if one is, and which everyday blunder it would be.

#include "baseline/fit.h"

namespace deckmark {

/// A stated coordinate that the others contradict. Never dropped: the fit that is used keeps it.
struct WrongTie {
  std::size_t tie = 0;
  TieAxis axis = TieAxis::x;
  double standardised = 0, redundancy = 0;
  Length error, sd;  ///< stated minus what the others give where the mark was found, and its sd
  /// Others that explain the misfit as well as this one (tie, axis).
  std::vector<std::pair<std::size_t, TieAxis>> alike;
};

struct WrongTiesResult {
  double limit = 0;  ///< of a standardised residual: 3.29, or more where so many coordinates are tested that
                     ///< a set without fault would be accused more often than five times in a thousand
  std::vector<WrongTie> wrong;  ///< in the order in which they were found: remove, refit, test again
};
/// Which coordinates the others contradict.
///
/// Method   one at a time, by standardised residual; where that accuses coordinates of several ties and one
/// tie
///          left out leaves nothing to accuse, that tie is wrong and no other. Errors are against the fit
///          without all that is wrong, so that a gross slip bends none of them. With a covariance of the
///          found places each coordinate is tested by its best estimate of an error, and what is left keeps
///          its part of the covariance.
/// CAVEAT   where several ties would each do, the others are `alike`.
/// REQUIRES what `fit_baselines` requires.
[[nodiscard]] WrongTiesResult find_wrong_ties(TieView ties, const BaselineOptions& options);

/// So many ties are left out one by one in turn: 200, or 100 with a covariance of the found places. Beyond,
/// that takes too long.
std::size_t most_left_out(TieView ties);

/// Where ties cannot be fitted at all: the one tie without which the others fit and accuse nobody, its worse
/// coordinate first. Empty where no tie or several would do, and for more ties than `most_left_out`.
[[nodiscard]] std::vector<WrongTie> tie_in_the_way(TieView ties, const BaselineOptions& options);

/// What is left when a tie is left out entirely: where one tie is wrong, only its line is clean.
struct LeftOut {
  bool solved = false;
  Length largest_residual = Length::metres(0);  ///< of the rest
  std::optional<double> variance_factor;        ///< of the rest
};
[[nodiscard]] std::vector<LeftOut> leave_out_each(TieView ties, const BaselineOptions& options);

}  // namespace deckmark
