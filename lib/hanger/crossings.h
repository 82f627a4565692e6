#pragma once
/// Where runs cross and where they meet in corners.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "plane/path.h"

namespace deckmark {

/// Ends nearer to another run than this meet it.
inline constexpr Length kRunJoin = Length::millimetres(1);

struct Crossing {
  std::size_t first, second;  ///< runs, first below second
  Point<Drawing> at;
  Length along_first, along_second;
  /// Corner: between the runs as they leave it, from 0 to 180 degrees. Else the acute angle between their
  /// directions.
  Angle angle;
  /// Half the angle, where both runs end there.
  std::optional<Angle> mitre;
};

/// At a corner, how much shorter the inside member of a pair is than the line that is drawn, and the outside
/// member longer: half the separation over the tangent of half the included angle. Nothing at a fold of 0
/// degrees.
std::optional<Length> corner_allowance(Angle included, Length separation);

struct CrossingsResult {
  std::vector<Crossing> places;                               ///< by first run, second run, along the first
  std::vector<std::pair<std::size_t, std::size_t>> overlaps;  ///< runs that lie on one another
};
CrossingsResult find_crossings(std::span<const Path> runs);

}  // namespace deckmark
