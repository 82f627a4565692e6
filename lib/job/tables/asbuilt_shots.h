#pragma once
/// The table of as-built shots.

#include "job/tables/found_words.h"
#include "terms/columns.h"

namespace deckmark::asbuilt_shots {

inline constexpr TableWord table{"as-built shots", "marks and brackets as measured", kSideShotColumns};
inline constexpr Column<NameCell> point{"point", "name, floor number or deck number", Stands::required,
                                        "target", kNameWords};
inline constexpr Column<LengthCell> northing{
    "northing", "place on site; or x, y", Stands::optional, {}, kNorthingWords};
inline constexpr Column<LengthCell> easting{"easting", "place on site", Stands::optional, {}, kEastingWords};
inline constexpr Column<LengthCell> x{"x", "place in the drawing; or northing, easting"},
    y{"y", "place in the drawing"};
inline constexpr Column<LengthCell> elevation{
    "elevation", "of the shot", Stands::optional, {}, kElevationWords};
inline constexpr Column<TextCell> level{"level", "floor, deck or bracket; floor unless stated"};
inline constexpr Column<TextCell> setup{"setup", "from which it was shot", Stands::optional, {}, kSetupWords};
inline constexpr Column<TextCell> marked_from{"marked_from", "the setup from which the mark was made"};
inline constexpr Column<TextCell> reflector{"reflector", "with which it was shot"};
inline constexpr Column<TextCell> crew{"crew", "that made the mark"};
inline constexpr Column<TextCell> time{"time", "14:05 or 2026-03-05 14:05"};
inline constexpr Column<LengthCell> sd{"sd", "standard deviation of the shot"};
using Terms = TableTerms<table, point, northing, easting, x, y, elevation, level, setup, marked_from,
                         reflector, crew, time, sd>;
using Places = PlacePairs<PlacePair<northing, easting>, PlacePair<x, y>>;

}  // namespace deckmark::asbuilt_shots
