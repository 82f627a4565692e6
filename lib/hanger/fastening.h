#pragma once
/// Where a run crosses the fastening lines of a fluted deck.

#include <cstdint>
#include <optional>
#include <span>
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

/// Where along a run nobody can say which bay a hanger hangs from.
struct BayBreak {
  /// In no bay or in two; of length zero at an edge. On a ring it may go on beyond its length.
  Stretch stretch;
  enum class Kind : std::uint8_t {
    edge,        ///< of two bays
    outer_edge,  ///< the run begins or ends on the edge of its bay
    between,     ///< bays before it and behind
    beyond       ///< the run begins, ends or lies there
  };
  Kind kind;
};
/// In order along the run; none without bays.
std::vector<BayBreak> bay_breaks(const Path& run, std::span<const Outline> bays);
/// What hangers along a run have to keep off so that each hangs from one bay: edges of two bays, gaps between
/// bays no wider than a space, and where hangers need not stand at its ends an outer edge there. Where the
/// drawing leaves no choice (a run that begins or ends beyond the bays, a hole in them) nothing is kept off.
std::vector<Stretch> kept_off(const Path& run, std::span<const Outline> bays, Length max_spacing,
                              Length end_distance);

/// A run over a bay whose deck is fluted.
struct FlutedStretch {
  Fastening fastening;        ///< no places where the run goes along the flutes
  bool along_flutes = false;  ///< within 15 degrees of them somewhere: hangers are not moved across
};
/// REQUIRES no more than `kMostHangers` lines across the outline.
std::vector<FlutedStretch> fluted_stretches(const Path& run, const Outline& bay, const FasteningLines& lines);

}  // namespace deckmark
