#pragma once
/// Which marks to move, and how far, so that what was taped agrees with the drawing.

#include <cstddef>
#include <functional>
#include <span>
#include <vector>

#include "baseline/length_net.h"

namespace deckmark {

/// A mark slides along the line to another.
struct MarkMove {
  std::size_t mark = 0, toward = 0;  ///< into the places
  Length move = Length::metres(0);   ///< positive toward
};

struct MovesResult {
  /// None: the tape cannot tell that a mark stands off. Two rows at most a mark.
  std::vector<MarkMove> moves;
  /// False: no few marks explain the lengths, and no move is advised.
  bool is_explained = true;
};

/// Whether lengths are within what is permitted, and the squareness that they give. The sides are those that
/// were handed over, each as it would be taped after the moves.
using AllWithin = std::function<bool(std::span<const MeasuredSide>)>;

/// The fewest marks to move.
///
/// Method  the marks that are not moved stand as drawn towards one another, each moved one is free: the least
///         number of free marks with which all lengths agree (square sum within its chi-square quantile of
///         0.99, no residual over the limit of `wrong_limit`); of those of one number the ones that fit best
///         and whose lines cross at 30 degrees and more, then those that move least. Up to half of the
///         marks, two at least. One line is enough where what is left across it is less than the tape can
///         tell (95 %), else two lines that cross best; lines to marks that stay are taken first.
///         With `within` only sets of marks count whose moves bring all within, so that a mark is moved by
///         less than single lengths can tell where all of them together are outside; where no such set is
///         found, those count that the lengths call for.
/// Result  about what the tape says: a wrong reading that no other checks moves a mark too.
/// REQUIRES lengths of one network that do not contradict one another; more marks than one.
[[nodiscard]] MovesResult marks_to_move(std::span<const MeasuredSide> sides,
                                        std::span<const Point<Drawing>> places, const AllWithin& within = {});

}  // namespace deckmark
