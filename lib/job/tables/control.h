#pragma once
/// The table of control points.

#include "job/tables/found_words.h"
#include "terms/columns.h"

namespace deckmark::control {

inline constexpr TableWord table{"control", "control points on site"};
inline constexpr Column<NameCell> point{"point", "its name", Stands::required, {}, kNameWords};
inline constexpr Column<LengthCell> northing{
    "northing", "place on site", Stands::required, {}, kNorthingWords};
inline constexpr Column<LengthCell> easting{"easting", "place on site", Stands::required, {}, kEastingWords};
inline constexpr Column<LengthCell> elevation{
    "elevation", "of the mark", Stands::optional, {}, kElevationWords};
inline constexpr Column<LengthCell> sd{"sd", "standard deviation of its place; 0 holds it fixed"};
using Terms = TableTerms<table, point, northing, easting, elevation, sd>;

}  // namespace deckmark::control
