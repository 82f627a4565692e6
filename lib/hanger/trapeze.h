#pragma once
/// Hangers whose deck point lies in an obstruction, and the two supports that bridge it.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "hanger/hanger_options.h"
#include "plane/outline.h"

namespace deckmark {

struct Obstruction {
  Outline outline;
  Length clearance;  ///< zero or more
};

/// A place that supports keep away from, such as a joint.
struct KeepOff {
  Point<Drawing> at;
  Length clear;
};

struct Trapeze {
  std::size_t obstruction;
  /// Lower x first, then lower y. Nothing where a side has no clear place within reach, or none in a bay.
  std::optional<std::pair<Point<Drawing>, Point<Drawing>>> supports;
  Length span = Length::metres(0);
  Length needed = Length::metres(0);  ///< the further support's distance from the hanger, also beyond reach
  bool beyond_bays = false;           ///< the bays end before a side has a clear place
};

/// The trapeze of a deck point, or nothing where the point is clear. Geometry alone: spans are not judged.
///
/// Method    across the first obstruction in the list that blocks the point, its narrower way, through the
/// point; on
///           either side the first place that every obstruction and every place to keep off leave clear, and
///           that lies in one bay, `kRoomBeside` from its edges, where there are bays.
std::optional<Trapeze> bridge(const Point<Drawing>& deck_point, std::span<const Obstruction> obstructions,
                              std::span<const KeepOff> keep_off, const TrapezeOptions& options,
                              std::span<const Outline> bays = {});

}  // namespace deckmark
