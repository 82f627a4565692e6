#pragma once
/// From what is typed to a place on site and how good it is.

#include <optional>

#include "book/facts.h"

namespace deckmark {

/// Where the target of a reading stands.
struct ReadPlace {
  Point<Site> at;
  std::optional<Elevation> elevation{};  ///< of the mark below (or above) the target
  /// From the setup's covariance and the reading: along the sight and across it. Of a tape along X and Y.
  Length sd_along = Length::metres(0), sd_across = Length::metres(0);
  PlanCovariance<Site> covariance{};
  Length horizontal = Length::metres(0);             ///< of an instrument
  CircleReading circle = CircleReading::degrees(0);  ///< likewise, in face 1
  bool is_face_two = false;                          ///< it was turned
};

/// A reading of an instrument, in one face: the pointing has sqrt(2) angle_sd. `target_height`: where the
/// reading states none. REQUIRES a solved setup with an orientation; a reading that is none of a tape.
ReadPlace place_of(const TypedReading& reading, const SetupResult& setup, const InstrumentOptions& instrument,
                   Length target_height);
/// Where the two distances meet.
ReadPlace place_of(const TypedReading& reading, const TapeStrings& strings);

/// Variances of a plan place along a direction and across it.
struct SightCovariance {
  double along = 0, cross = 0, across = 0;  ///< m^2; across: to the right of the direction
};
SightCovariance turned(const PlanCovariance<Site>& c, Azimuth sight);

}  // namespace deckmark
