#include "measure/frame.h"

#include <GeographicLib/Math.hpp>

namespace deckmark {

Azimuth azimuth_of(const Vec<Site>& v) {
  // The angle from the northing axis towards the easting axis; exact at the quadrants.
  return Azimuth::degrees(GeographicLib::Math::atan2d(v.by.easting.metres(), v.by.northing.metres()));
}

Azimuth azimuth_of(const Vec<Grid>& v) {
  return azimuth_of(Vec<Site>{{.northing = v.by.northing, .easting = v.by.easting}});
}

}  // namespace deckmark
