#pragma once
/// Decks in bays: which bay a place lies in, and the steps between neighbours.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "plane/outline.h"

namespace deckmark {

/// Bays nearer than this along an edge are neighbours.
inline constexpr Length kBayGap = Length::millimetres(10);

/// The bays that hold a place, edges included: none, one, or the first two.
struct BayOf {
  std::optional<std::size_t> bay, another;
};
BayOf bay_of(const Point<Drawing>& p, std::span<const Outline> bays);

/// Two bays that lie against one another, and the middle of the edge that they share.
struct BayJoint {
  std::size_t first, second;
  SharedEdge edge;
};
std::vector<BayJoint> neighbours(std::span<const Outline> bays);

}  // namespace deckmark
