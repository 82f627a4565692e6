#pragma once
/// What a job says of the map projection that its control was handed over in. Data only.

#include <cstddef>
#include <memory>
#include <optional>
#include <vector>

#include "job/keys/stated.h"
#include "measure/angle_text.h"
#include "transform/ground.h"

namespace deckmark {

/// Keys of `[site]` about the projection, and what they come to. Every point that leaves the reading is a
/// ground point.
struct GroundJob {
  GroundOptions options;
  Written crs_key;
  bool states_crs = false;                   ///< the key, or a slip of it
  std::shared_ptr<const GridSystem> system;  ///< none without crs, or where it was refused
  std::shared_ptr<const DatumShift> shift;   ///< where latitudes and longitudes stand on a datum of their own
  std::optional<AngleNotation> angles;       ///< how bare latitudes and longitudes are read
  std::vector<Point<Grid>> control;          ///< of the control points, in their order; with `system` alone
  std::vector<Length> heights;               ///< ellipsoidal heights that control rows state
  Length height = Length::metres(0);         ///< the work's, above the ellipsoid
  std::size_t base = 0;                  ///< the control point about which coordinates come to ground scale
  std::optional<GroundFromGrid> ground;  ///< none before the control was read
};

}  // namespace deckmark
