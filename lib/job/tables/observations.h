#pragma once
/// The table of what an instrument read at one setup.

#include "job/tables/found_words.h"
#include "terms/columns.h"

namespace deckmark::observations {

/// No columns, but often written for `slope`.
inline constexpr std::string_view kMeantSlope[] = {"distance",     "distance m",     "distance_m",
                                                   "distance [m]", "slope distance", "slope_distance"};

inline constexpr TableWord table{"observations", "what the instrument read at one setup", kMeantSlope};
inline constexpr Column<NameCell> target{"target", "what was sighted", Stands::required, {}, kNameWords};
inline constexpr Column<NumberCell> face{"face", "1 or 2; 1 unless stated"};
inline constexpr Column<AngleCell> circle{
    "circle", "horizontal circle; it or slope", Stands::optional, {}, kCircleWords};
inline constexpr Column<AngleCell> zenith{"zenith", "zenith angle", Stands::optional, {}, kZenithWords};
inline constexpr Column<LengthCell> slope{"slope", "slope distance", Stands::optional, {}, kSlopeWords};
inline constexpr Column<LengthCell> height{
    "height", "of the target above its mark", Stands::optional, {}, kTargetHeightWords};
inline constexpr Column<LengthCell> reflector{"reflector", "additive constant, for raw distances"};
inline constexpr Column<LengthCell> target_sd{"target_sd", "of setting up this target"};
inline constexpr Column<LengthCell> distance_sd{"distance_sd", "of this distance"};
using Terms =
    TableTerms<table, target, face, circle, zenith, slope, height, reflector, target_sd, distance_sd>;
using Places = OneOf<circle, slope>;

}  // namespace deckmark::observations
