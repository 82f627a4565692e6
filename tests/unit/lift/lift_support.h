#pragma once
// Short makers and the one random source of the tests of this folder.

#include <random>

#include "lift/lift.h"

namespace lift_test {

using namespace deckmark;

inline Length m(double v) { return Length::metres(v); }
inline Length mm(double v) { return Length::millimetres(v); }
inline Point<Site> at(double northing, double easting) {
  return {{.northing = m(northing), .easting = m(easting)}};
}
inline Point<Drawing> xy(double x, double y) { return {{.x = m(x), .y = m(y)}}; }
inline DeckShot shot(double northing, double easting, double elevation) {
  return {at(northing, easting), Elevation::metres(elevation)};
}

/// Seed 1 everywhere; the normal deviates are made here, since the library's differ between compilers.
class Noise {
 public:
  double uniform() { return (static_cast<double>(engine_() >> 11) + 0.5) * 0x1p-53; }
  double uniform(double low, double high) { return low + (high - low) * uniform(); }
  double normal() {
    return std::sqrt(-2 * std::log(uniform())) * std::cos(2 * 3.14159265358979323846 * uniform());
  }
  std::size_t below(std::size_t n) { return static_cast<std::size_t>(uniform() * static_cast<double>(n)); }

 private:
  std::mt19937_64 engine_{1};
};

#ifdef DECKMARK_SANITIZED
inline constexpr bool kSanitized = true;
#else
inline constexpr bool kSanitized = false;
#endif
/// Sanitizer builds run a twentieth of the repeats and skip the bands.
inline std::size_t repeats(std::size_t n) { return kSanitized ? n / 20 : n; }

}  // namespace lift_test
