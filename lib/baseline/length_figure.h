#pragma once
/// Where lengths alone have their marks, and how well they check it.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "baseline/length_net.h"

namespace deckmark {

/// The marks of one network as its lengths have them.
struct LengthFigure {
  std::vector<std::size_t> marks;      ///< into the places
  std::vector<Point<Drawing>> found;   ///< likewise
  bool is_fixed = false;               ///< the lengths fix the marks that were asked for towards one another
  std::vector<std::size_t> unchecked;  ///< sides that take part in that and that no other length checks
  Point<Drawing> place_of(std::size_t mark) const;
};

/// The free adjustment of the network that holds the marks asked for, laid onto the drawing as one stiff
/// sheet: no scale, every mark of it counts alike. Marks that the lengths leave open stay as drawn.
///
/// Result  nothing where the marks are not all in one network, where that has more marks than
///         `LengthsTogether::kMostMarks`, or where no such figure exists.
[[nodiscard]] std::optional<LengthFigure> length_figure(std::span<const MeasuredSide> sides,
                                                        std::span<const Point<Drawing>> places,
                                                        std::span<const std::size_t> asked);

}  // namespace deckmark
