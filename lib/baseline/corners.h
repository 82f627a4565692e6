#pragma once
/// Squareness where only lengths were measured: a right angle of the drawing whose sides and diagonals were
/// taped.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "baseline/lengths.h"
#include "baseline/squareness.h"

namespace deckmark {

/// A measured distance between two marks, horizontal and on site.
struct MeasuredSide {
  std::size_t from = 0, to = 0;  ///< into the places
  SdLength length;
};

/// The corner that fixes the right angle best.
struct CornerCheck {
  SquarenessResult square;  ///< without `farthest`; sign as of +X and +Y, whichever way the legs run
  std::vector<std::size_t>
      marks;               ///< corner, along X, along Y; or four marks round a rectangle, the corner first
  bool too_small = false;  ///< two sds at the end of the baseline exceed half of what is permitted there
  std::optional<double> variance_factor;  ///< of the rectangle's one surplus length
  std::optional<Length> diagonal_difference;
  bool sides_unequal = false;  ///< of the rectangle: equal diagonals then prove nothing
};

/// Method   every corner whose legs run along X and Y in the drawing (within 1 mm) and whose diagonal was
/// measured too;
///          every rectangle with all six lengths. The one with the smallest sd is taken.
/// Result   nothing where the lengths close no such triangle. REQUIRES a baseline above zero.
[[nodiscard]] std::optional<CornerCheck> find_corner(std::span<const MeasuredSide> sides,
                                                     std::span<const Point<Drawing>> places, Length baseline,
                                                     const SquarenessOptions& options);

}  // namespace deckmark
