#pragma once
/// A fit that was signed is used unchanged; ties found later only check it.

#include "baseline/fit.h"

namespace deckmark {

/// A stated coordinate that the signed fit was made from, as its file has it.
struct SignedStated {
  std::size_t tie = 0;  ///< the tie of that name among the ties of today
  TieAxis axis = TieAxis::x;
  Length found = Length::metres(0);   ///< as the signed fit computed it
  std::optional<Point<Site>> at;      ///< where the tie was found; files of earlier versions do not hold it
  double redundancy = 0;              ///< in the signed fit
  std::optional<Length> residual_sd;  ///< likewise; without it sd times the root of the redundancy
};

/// What the ties say of a signed fit. Only stated coordinates that the fit was not made from are new evidence
/// about it. Shift and turn are where these ties lie now against where the signed fit has them.
struct SignedCheck {
  /// residual = stated minus computed by the signed fit. Of what the fit was made from, redundancy and the sd
  /// of the residual stay those of the fit; of what is new the redundancy is 1, and the sd has the fit's own.
  std::vector<TieRow> rows;
  std::vector<bool> is_new;               ///< of each row
  std::size_t new_stated = 0;             ///< rows that are new
  std::size_t new_ties = 0;               ///< ties that have such rows
  std::optional<double> variance_factor;  ///< of the new rows, over their number
  /// Where the shift holds: the mean place of the new ties, in the drawing.
  Point<Drawing> middle{{.x = Length::metres(0), .y = Length::metres(0)}};
  std::optional<Length> shift_x,
      shift_y;  ///< along the baselines at `middle`; absent without new ties that state it
  Length sd_x = Length::metres(0), sd_y = Length::metres(0);
  std::optional<Angle> turn;  ///< clockwise seen from above; absent where the new ties do not fix it
  Angle sd_turn = Angle::degrees(0);
  bool moved = false;  ///< the shift as a whole, or the turn, is more than chance
};

/// Method  a tie of the same name at the same place (within 0.01 mm) is the evidence that was signed. Shift
///         and turn by least squares of the residuals of the new ones, with their sds and the covariance of
///         the signed fit; with the covariance of the found places where it is known, as independent of the
///         signed fit. Moved: the shift in both axes together against chi-square at 0.002, the turn
///         against 3.29 sds (0.001), so that 3 of 1,000 jobs in which nothing moved are told.
/// CAVEAT  a mark that was found again has the error of its own place in both; it counts as new all the same.
[[nodiscard]] SignedCheck check_signed(TieView ties, const FittedTransform& signed_fit,
                                       std::span<const SignedStated> signed_from);

}  // namespace deckmark
