#pragma once
/// Where a run crosses the fastening lines of a fluted deck.

#include <optional>
#include <vector>

#include "hanger/spacing.h"
#include "plane/path.h"

namespace deckmark {

/// Parallel lines along x or y to which a fluted deck can be fastened.
struct FasteningLines {
  bool along_x = true;
  Length pitch;  ///< above zero
  Length first;  ///< y of one of the lines where they run along x, x where along y
};

/// The stretches of a run that lie inside an outline.
std::vector<Stretch> stretches_inside(const Path& run, const Outline& outline);

/// A run over a bay whose deck is fluted.
struct FlutedStretch {
  Fastening fastening;        ///< no places where the run goes along the flutes
  bool along_flutes = false;  ///< within 15 degrees of them somewhere: hangers are not moved across
};
/// REQUIRES no more than `kMostHangers` lines across the outline.
std::vector<FlutedStretch> fluted_stretches(const Path& run, const Outline& bay, const FasteningLines& lines);

}  // namespace deckmark
