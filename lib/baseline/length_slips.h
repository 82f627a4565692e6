#pragma once
/// Lengths that are far off: one slip of the table that explains them, and nothing on the floor.

#include <cstddef>
#include <span>
#include <utility>
#include <vector>

#include "baseline/length_net.h"

namespace deckmark {

/// Further off than this a length is no matter of marks that crews move (common practice, no source): it is
/// misread, or the tape was held to another mark.
inline constexpr Length kMostMove = Length::millimetres(100);

/// Two marks.
using MarkPair = std::pair<std::size_t, std::size_t>;

/// Pairs of marks whose names were exchanged in the lengths: with one pair exchanged in all lengths, every
/// length is within what is permitted for it.
///
/// Method    every pair in turn, where a length is off by five times what is permitted and more. `permitted`:
///           of each side.
/// Result    empty where no pair does it, and where more do than are mirror images of one another (two, as of
///           the four marks round a rectangle), since then nothing tells which.
[[nodiscard]] std::vector<MarkPair> exchanged_names(std::span<const MeasuredSide> sides,
                                                    std::span<const Point<Drawing>> places,
                                                    std::span<const Length> permitted);

/// Lengths that were keyed in another unit than they were read in.
struct LengthUnitSlip {
  std::vector<std::size_t> sides;
  LengthUnit meant = LengthUnit::metre;
};
/// The lengths that are off by more than `kMostMove` and within once they are read in one other unit; all of
/// one unit, the one that mends most. No sides where none does.
[[nodiscard]] LengthUnitSlip unit_slip(std::span<const MeasuredSide> sides,
                                       std::span<const Point<Drawing>> places,
                                       std::span<const Length> permitted, LengthUnit read_as);

}  // namespace deckmark
