#pragma once
/// Simulated ties: a floor with two true baselines, marks found on it with an instrument of a known sd.
///
/// Truth is made by three-dimensional geometry of its own (unit vectors of the baselines in the site, not the
/// program's azimuth formula), and every error enters a raw reading: what was keyed or what was found.

#include <cstdint>
#include <random>
#include <vector>

#include "baseline/fit.h"

namespace deckmark_test {

/// The true floor: where the baselines lie. Unit vectors along +X and +Y on site, as seen from above.
struct Floor {
  double origin_northing = 0, origin_easting = 0;
  double x_northing = 0, x_easting = 0;
  double y_northing = 0, y_easting = 0;
  double azimuth_x = 0;  ///< degrees
  deckmark::Point<deckmark::Site> at(double x, double y) const;
};

/// A floor anywhere within six million metres, turned anyhow; mirrored: +Y to the right of +X.
Floor random_floor(std::mt19937& random, bool mirrored);

/// Ties on a floor of `width` by `depth` metres that state both coordinates; found with normal errors of `sd`
/// an axis.
struct TieJob {
  Floor floor;
  std::vector<deckmark::Tie> ties;
};
TieJob random_tie_job(std::mt19937& random, std::size_t count, double width, double depth, double sd,
                      bool mirrored);

/// Ties on the two baselines only: y = 0 along X, x = 0 along Y, `each` on either line.
TieJob random_two_line_job(std::mt19937& random, std::size_t each, double width, double depth, double sd);

}  // namespace deckmark_test
