#pragma once
/// The table of deck shots.

#include "job/tables/found_words.h"
#include "terms/columns.h"

namespace deckmark::deck_shots {

inline constexpr TableWord table{"deck shots", "measured points of the underside of the deck",
                                 kSideShotColumns};
inline constexpr Column<NameCell> shot{"shot", "its name", Stands::required, "target", kNameWords};
inline constexpr Column<LengthCell> elevation{
    "elevation", "of the underside; empty with its place", Stands::optional, {}, kElevationWords};
inline constexpr Column<LengthCell> northing{"northing",
                                             "place on site; or x, y; empty: as the setups sighted it",
                                             Stands::optional,
                                             {},
                                             kNorthingWords};
inline constexpr Column<LengthCell> easting{"easting", "place on site", Stands::optional, {}, kEastingWords};
inline constexpr Column<LengthCell> x{"x", "place in the drawing; or northing, easting"},
    y{"y", "place in the drawing"};
inline constexpr Column<TextCell> bay{"bay", "the bay that it lies on"};
inline constexpr Column<TextCell> setup{"setup", "whose sights count where the place is empty"};
using Terms = TableTerms<table, shot, elevation, northing, easting, x, y, bay, setup>;
using Places = PlacePairs<PlacePair<northing, easting>, PlacePair<x, y>>;

}  // namespace deckmark::deck_shots
