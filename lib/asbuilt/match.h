#pragma once
/// Which shot belongs to which mark where names do not tell.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "measure/frame.h"

namespace deckmark {

/// A shot and the mark that it was taken on, by index.
struct AsbuiltPair {
  std::size_t shot = 0;
  std::uint32_t mark = 0;
};

struct NearestResult {
  std::vector<AsbuiltPair> pairs;  ///< one to one, in the order of the shots
  /// Shots within the radius of their nearest mark that is not theirs alone: another shot is nearer to it, or
  /// as near, or another mark is as near to the shot. `mark` is that nearest mark. Never paired.
  std::vector<AsbuiltPair> ambiguous;
  std::vector<std::size_t> unmatched;  ///< no mark within the radius
};

/// Pairs shots and marks that are each other's nearest in plan, no further apart than `radius`.
///
/// Frames    both in Site. The shots are those of one level.
/// Ties      two that are equally near to within 1e-9 m are ambiguous.
[[nodiscard]] NearestResult match_nearest(std::span<const Point<Site>> shots,
                                          std::span<const Point<Site>> marks, Length radius);

}  // namespace deckmark
