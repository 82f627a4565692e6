#include "transform/ground.h"

#include <cassert>
#include <cmath>

namespace deckmark {

Point<Site> GroundFromGrid::to_ground(const Point<Grid>& p) const {
  return {{.northing = base_.at.northing + (p.at.northing - base_.at.northing) / factor_,
           .easting = base_.at.easting + (p.at.easting - base_.at.easting) / factor_}};
}

Point<Grid> GroundFromGrid::to_grid(const Point<Site>& p) const {
  return {{.northing = base_.at.northing + (p.at.northing - base_.at.northing) * factor_,
           .easting = base_.at.easting + (p.at.easting - base_.at.easting) * factor_}};
}

bool is_sensible_factor(double combined_factor) { return std::abs(combined_factor - 1) <= 0.02; }

GroundFromGrid claim_ground(const Point<Grid>& base, double combined_factor) {
  assert(is_sensible_factor(combined_factor));
  return {base, combined_factor};
}

std::optional<GroundRow> ground_row(const GridSystem& system, const GroundFromGrid& ground,
                                    const Point<Grid>& p, Length height) {
  const auto place = system.geographic(p);
  if (!place) return std::nullopt;
  const auto factors = system.factors(*place);
  if (!factors) return std::nullopt;
  const double raised = system.elevation_factor(*place, height);
  return GroundRow{p,
                   *place,
                   factors->convergence,
                   factors->point_scale,
                   raised,
                   factors->point_scale * raised,
                   ground.to_ground(p)};
}

GroundCheck check_ground(const GridSystem& system, const GroundRow& from, const GroundRow& to,
                         Length height) {
  return {distance(from.ground, to.ground), system.geodesic_at(from.place, to.place, height)};
}

}  // namespace deckmark
