#pragma once
/// Squareness where only lengths were measured: a right angle of the drawing whose sides and diagonals were
/// taped.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "baseline/length_net.h"
#include "baseline/squareness.h"

namespace deckmark {

/// The corner that fixes the right angle best.
struct CornerCheck {
  SquarenessResult square;  ///< without `worst`; sign as of +X and +Y, whichever way the legs run; of lengths
                            ///< that contradict one another no angle, `contradicted`
  std::vector<std::size_t>
      marks;               ///< corner, along X, along Y; or four marks round a rectangle, the corner first
  bool too_small = false;  ///< two sds at the end of the baseline exceed half of what is permitted there
  std::optional<double> variance_factor;  ///< of the rectangle's one surplus length
  std::optional<Length> diagonal_difference;
  bool sides_unequal = false;  ///< of the rectangle: equal diagonals then prove nothing
};

/// Method   every corner whose legs run along X and Y in the drawing (within 1 mm) and whose diagonal was
/// measured too;
///          every rectangle with all six lengths. The one with the smallest sd is taken. Of two marks that
///          were measured more than once the weighted mean counts, of alike readings one. `together`: of the
///          same sides; from a network that contradicts itself no corner is taken.
/// Result   nothing where the lengths close no such triangle. REQUIRES a baseline above zero.
[[nodiscard]] std::optional<CornerCheck> find_corner(std::span<const MeasuredSide> sides,
                                                     const LengthsTogether& together,
                                                     std::span<const Point<Drawing>> places, Length baseline,
                                                     const SquarenessOptions& options);

}  // namespace deckmark
