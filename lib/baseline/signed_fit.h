#pragma once
/// A fit that was signed is used unchanged; ties found later only check it.

#include "baseline/fit.h"

namespace deckmark {

/// What the ties say of a signed fit. Shift and turn are where the ties lie now against where the signed fit
/// has them.
struct SignedCheck {
  std::vector<TieRow> rows;  ///< residual = stated minus computed by the signed fit; redundancy 1
  std::optional<double> variance_factor;  ///< v'Pv over the number of stated coordinates
  std::optional<Length> shift_x,
      shift_y;  ///< mean shift along the baselines; absent without ties that state it
  Length sd_x = Length::metres(0), sd_y = Length::metres(0);
  std::optional<Angle> turn;  ///< clockwise seen from above; absent where the ties do not fix it
  Angle sd_turn = Angle::degrees(0);
  bool moved = false;  ///< a shift or the turn exceeds 3.29 of its sds
};

/// Method  the fit takes nothing from these ties, so that each has redundancy 1 and its stated sd. Shifts and
/// turn by
///         least squares of the residuals about the mean place of the ties.
[[nodiscard]] SignedCheck check_signed(std::span<const Tie> ties, const FittedTransform& signed_fit);

}  // namespace deckmark
