#pragma once
/// Shots whose elevations say that they were taken on another floor: nothing is judged by them.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "asbuilt/options.h"
#include "measure/frame.h"

namespace deckmark {

/// No slab, deck or bracket of the work is so far off (common practice, no source).
inline constexpr Length kOtherFloor = Length::millimetres(500);

/// What is known of a shot's height. `up`: as built minus design; absent where either is unknown.
struct ShotHeight {
  AsbuiltLevel level = AsbuiltLevel::floor;
  std::optional<Length> up = std::nullopt;
};

/// A level most of whose shots lie further off in height than `kOtherFloor`.
struct OtherFloor {
  AsbuiltLevel level = AsbuiltLevel::floor;
  std::size_t off = 0, known = 0;  ///< shots that lie so far off; that have a difference in height
  std::size_t aside = 0;           ///< not judged: those, and those of the level whose height is not known
  Length up = Length::metres(0);   ///< of the middle one of those that are off
  std::optional<Length> datum = std::nullopt;  ///< the usual datum line that `up` equals within 20 mm
};

/// Levels of which more than half of the shots with a difference in height lie over `kOtherFloor` off, the
/// floor first.
///
/// Datum     a line 1 m or 4 ft above the floor (common practice, no source), above or below.
std::vector<OtherFloor> find_other_floors(std::span<const ShotHeight> shots);
/// Whether a shot is not judged: at such a level all but those that lie within `kOtherFloor`.
bool is_set_aside(const ShotHeight& shot, std::span<const OtherFloor> floors);

/// So near to a storey's floor or deck lies what was measured on it.
inline constexpr Length kStoreyNear = Length::millimetres(50);
/// The height that lies within `kStoreyNear`, the nearest; absent where none does. `rising`: in their order.
std::optional<Elevation> height_near(Elevation at, std::span<const Elevation> rising);

}  // namespace deckmark
