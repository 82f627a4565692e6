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
    "circle", "horizontal circle; a row has one reading or more", Stands::optional, {}, kCircleWords};
inline constexpr Column<AngleCell> zenith{"zenith", "zenith angle", Stands::optional, {}, kZenithWords};
inline constexpr Column<LengthCell> slope{
    "slope", "slope distance as read", Stands::optional, {}, kSlopeWords};
inline constexpr Column<LengthCell> horizontal{"horizontal",
                                               "in place of slope: a horizontal distance already reduced",
                                               Stands::optional,
                                               {},
                                               kHorizontalWords};
inline constexpr Column<LengthCell> height{
    "height", "of the target above its mark", Stands::optional, {}, kTargetHeightWords};
inline constexpr Column<LengthCell> reflector{"reflector", "additive constant, for raw distances"};
inline constexpr Column<LengthCell> target_sd{"target_sd", "of setting up this target"};
inline constexpr Column<LengthCell> distance_sd{"distance_sd", "of this distance"};
inline constexpr Column<AngleCell> circle_sd{"circle_sd", "of this row's circle, in its own face"};
inline constexpr Column<AngleCell> zenith_sd{"zenith_sd", "of this row's zenith angle, in its own face"};
using Terms = TableTerms<table, target, face, circle, zenith, slope, horizontal, height, reflector, target_sd,
                         distance_sd, circle_sd, zenith_sd>;
using Places = OneOf<circle, slope, horizontal, zenith>;

}  // namespace deckmark::observations
