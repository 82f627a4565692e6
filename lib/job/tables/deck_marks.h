#pragma once
/// The table of deck marks.

#include "job/tables/found_words.h"
#include "terms/columns.h"

namespace deckmark::deck_marks {

inline constexpr TableWord table{"deck marks", "marks on the deck as measured, to check plumb",
                                 kSightedMarkColumns};
inline constexpr Column<NameCell> point{
    "point", "name, floor number or deck number", Stands::required, {}, kNameWords};
inline constexpr Column<LengthCell> elevation{
    "elevation", "of the mark", Stands::optional, {}, kElevationWords};
inline constexpr Column<LengthCell> sd{"sd", "standard deviation of its place"};
inline constexpr Column<LengthCell> northing{
    "northing",
    "place on site; or x, y; or dx, dy; empty: as the setups sighted it",
    Stands::optional,
    {},
    kNorthingWords};
inline constexpr Column<LengthCell> easting{"easting", "place on site", Stands::optional, {}, kEastingWords};
inline constexpr Column<LengthCell> x{"x", "place in the drawing"}, y{"y", "place in the drawing"};
inline constexpr Column<LengthCell> dx{"dx", "from the floor mark along +X"},
    dy{"dy", "from the floor mark along +Y"};
inline constexpr Column<LengthCell> floor_northing{"floor_northing",
                                                   "of the floor mark, where it was measured"},
    floor_easting{"floor_easting", "of the floor mark"};
inline constexpr Column<TextCell> level{"level", "deck unless stated; other rows are read over"};
inline constexpr Column<TextCell> setup{"setup", "whose sights count where the place is empty"};
inline constexpr Column<TextCell> marked_from{"marked_from", "the setup from which the mark was made"};
inline constexpr Column<TextCell> by{"by", "who measured it"}, marked_by{"marked_by", "who made the mark"};
inline constexpr Column<NumberCell> turn{
    "turn",
    "of the plumb laser's housing: 0, 90, 180 or 270; rows of a point then repeat, 0 with 180, 90 with 270: "
    "the mark is their mean"};
using Terms = TableTerms<table, point, elevation, sd, northing, easting, x, y, dx, dy, floor_northing,
                         floor_easting, level, setup, turn, marked_from, by, marked_by>;
using Places = PlacePairs<PlacePair<northing, easting>, PlacePair<x, y>, PlacePair<dx, dy>>;

}  // namespace deckmark::deck_marks
