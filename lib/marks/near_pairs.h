#pragma once
/// Points that lie so close together that one of them is likely a slip.

#include <cstdint>
#include <span>
#include <vector>

#include "measure/frame.h"

namespace deckmark {

struct NearPair {
  std::uint32_t first, later;  ///< indexes; first < later
};

/// Every point that has an earlier one nearer than `limit`, with such a one, in the order of the later point.
///
/// Method  a hashed grid with cells twice `limit` wide: one look at 4 cells a point, whatever the drawing's
/// size
///         and however the points lie.
/// CAVEAT  exactly at the limit is not near (with a hair of 1e-9 m).
/// REQUIRES finite coordinates, limit above zero, fewer than 2^32 - 1 points.
[[nodiscard]] std::vector<NearPair> near_pairs(std::span<const Point<Drawing>> points, Length limit);

}  // namespace deckmark
