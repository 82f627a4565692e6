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

/// A hanger nearer than this to a stretch that it has to keep off stands on it.
inline constexpr Length kOffStretch = Length::millimetres(1);
/// One that has to move goes this far off where the rules let it, so that a mark a little off is still on its
/// side (common practice, no source).
inline constexpr Length kRoomBeside = Length::millimetres(10);

struct SpacingTask {
  Length length;        ///< of the run, above zero
  bool closed = false;  ///< a ring
  Length max_spacing;   ///< above zero
  Length end_distance = Length::metres(0);
  std::vector<Spot> spots;            ///< in any order
  std::vector<Fastening> fastenings;  ///< in order along the run, not overlapping
  /// No hanger in one or on its ends: the edge of two bays (of length zero), a gap between bays. On a ring
  /// one may go on beyond its length.
  std::vector<Stretch> keep_off = {};
};

/// A rule that hangers break.
struct SpacingBreach {
  enum class Kind : std::uint8_t { wide, far_from_end, near_spot, unsupported, between_places, kept_off };
  Kind kind;
  Length along;  ///< of the hanger, the spot, or the first hanger of the space
  /// The space, the distance from the end, to the spot, to the nearest place (infinite where there is none)
  /// or to the stretch to keep off.
  Length amount;
};

struct SpacingResult {
  /// All rules hold. Else no spacing keeps them all: the hangers stand at equal spaces, off what they have to
  /// keep off, and `breaches` tells which rules they break.
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
///           spaces. A ring begins at the place nearest to its start. Where no spacing keeps all rules:
///           equal spaces of the fewest hangers of which none stands where they have to keep off, and where
///           no number does, those that would are moved off.
/// Accuracy  rules are kept to 1e-9 m.
[[nodiscard]] SpacingResult space_hangers(const SpacingTask& task);

/// The rules that given hangers break. `at` in order.
std::vector<SpacingBreach> breaches_of(const SpacingTask& task, const std::vector<Length>& at);

}  // namespace deckmark
