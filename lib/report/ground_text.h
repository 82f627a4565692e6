#pragma once
/// Control brought to ground scale, in words.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "transform/ground.h"

namespace deckmark {

/// One way and how far the ground distance is from the independent one.
struct GroundWay {
  std::string_view from, to;
  Length ground, geodesic;
};

struct GroundFacts {
  const GridSystem* system;
  double combined_factor;               ///< the one that is used, of the base
  std::string_view base;                ///< the control point where ground and grid meet
  Length height;                        ///< of the work, above the ellipsoid
  std::vector<std::string_view> names;  ///< of the rows
  std::span<const GroundRow> rows;      ///< the control
  std::size_t base_row;
  std::vector<GroundWay> ways;  ///< to the farthest control and hanger, and the one that is off most
  struct Farthest {
    std::uint32_t number;
    std::string_view point;
    Length away;
    Length by;  ///< what ignoring the factor would do there; above zero: away from the base
  };
  std::optional<Farthest> farthest;  ///< none where the drawing does not lie near the control
  /// Of +X and +Y on site, which is grid north's; none while the drawing has no place there.
  std::optional<Azimuth> azimuth_x, azimuth_y;
  bool lists_in_grid;
  LengthUnit unit;  ///< of the site
};

std::string ground_text(const GroundFacts& facts);

}  // namespace deckmark
