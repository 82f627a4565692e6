#pragma once
// Short makers and the one random source of the tests of this folder.

#include "lift/lift.h"
#include "support/noise.h"

namespace lift_test {

using namespace deckmark;
using deckmark_test::kSanitized;
using deckmark_test::Noise;
using deckmark_test::repeats;

inline Length m(double v) { return Length::metres(v); }
inline Length mm(double v) { return Length::millimetres(v); }
inline Point<Site> at(double northing, double easting) {
  return {{.northing = m(northing), .easting = m(easting)}};
}
inline Point<Drawing> xy(double x, double y) { return {{.x = m(x), .y = m(y)}}; }
inline DeckShot shot(double northing, double easting, double elevation) {
  return {at(northing, easting), Elevation::metres(elevation)};
}

}  // namespace lift_test
