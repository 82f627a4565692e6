#pragma once
/// Where hangers stand along a run: equal spaces, the fewest, kept clear of joints and near to what they must
/// support.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "plane/outline.h"

namespace deckmark {

/// A hanger run of more than this is refused: the spacing is a slip.
inline constexpr std::size_t kMostHangers = 100000;

/// A joint, crossing or corner on a run.
struct Spot {
  Length at;
  Length clear = Length::metres(0);  ///< no hanger nearer than this
  std::optional<Length> support;     ///< a hanger no further than this; DEFAULT not asked
};

/// A stretch of a run in which hangers can be fastened at some places only (a fluted deck), in order.
struct Fastening {
  Stretch stretch;
  std::vector<Length> places;
};

struct SpacingTask {
  Length length;        ///< of the run, above zero
  bool closed = false;  ///< a ring
  Length max_spacing;   ///< above zero
  Length end_distance = Length::metres(0);
  std::vector<Spot> spots;            ///< in any order
  std::vector<Fastening> fastenings;  ///< in order along the run, not overlapping
};

/// A rule that hangers break.
struct SpacingBreach {
  enum class Kind : std::uint8_t { wide, far_from_end, near_spot, unsupported, between_places };
  Kind kind;
  Length along;   ///< of the hanger, the spot, or the first hanger of the space
  Length amount;  ///< the space, the distance from the end, to the spot or to the nearest place
};

struct SpacingResult {
  /// All rules hold. Else the hangers stand at equal spaces and `breaches` tells which rules they break.
  bool solved = true;
  std::vector<Length> at;     ///< in order
  std::vector<Length> equal;  ///< where equal spaces of that number would have put each
  std::vector<SpacingBreach> breaches;
};

/// Number of hangers at equal spaces, and no more than `kMostHangers` + 1.
std::size_t equal_count(const SpacingTask& task);

/// Hangers along a run.
///
/// Method    without spots and fastenings: first and last at the end distance (half the run, if that is
/// shorter: then
///           one hanger), equal spaces none wider than max_spacing, the fewest. A ring: equal spaces from its
///           start. With them: the fewest hangers are found by going from the first as far as every rule lets
///           one go, which no other choice betters, since what can be reached from a place can be reached
///           from any later one; then each hanger is put as near as the rules let it to its place at equal
///           spaces.
/// Accuracy  rules are kept to 1e-9 m.
[[nodiscard]] SpacingResult space_hangers(const SpacingTask& task);

/// The rules that given hangers break. `at` in order.
std::vector<SpacingBreach> breaches_of(const SpacingTask& task, const std::vector<Length>& at);

}  // namespace deckmark
