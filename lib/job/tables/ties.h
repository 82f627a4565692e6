#pragma once
/// The table of ties.

#include "job/tables/found_words.h"
#include "terms/columns.h"

namespace deckmark::ties {

inline constexpr TableWord table{"ties", "marks of the building lines, stated in the drawing and on site",
                                 kSideShotColumns};
inline constexpr Column<NameCell> mark{"mark", "its name", Stands::required, "target", kNameWords};
inline constexpr Column<LengthCell> x{"x", "in the drawing; x, y or both"}, y{"y", "in the drawing"};
inline constexpr Column<LengthCell> northing{
    "northing", "place on site; empty: as the setups sighted it", Stands::optional, {}, kNorthingWords};
inline constexpr Column<LengthCell> easting{
    "easting", "place on site; empty like northing", Stands::optional, {}, kEastingWords};
inline constexpr Column<LengthCell> sd{"sd",
                                       "standard deviation of x and y; of the place too where it is typed"};
inline constexpr Column<LengthCell> sd_x{"sd_x", "that of x alone"}, sd_y{"sd_y", "that of y alone"};
inline constexpr Column<LengthCell> tolerance{"tolerance", "permitted deviation of this tie"};
inline constexpr Column<TextCell> x_line{"x_line", "building line from which x is measured"};
inline constexpr Column<LengthCell> x_off{"x_off", "distance from x_line along X"};
inline constexpr Column<TextCell> y_line{"y_line", "building line from which y is measured"};
inline constexpr Column<LengthCell> y_off{"y_off", "distance from y_line along Y"};
inline constexpr Column<TextCell> face_of{"face_of", "column of which this is one of two opposite faces"};
inline constexpr Column<LengthCell> sd_northing{"sd_northing", "of a side shot, on top of the tie's sd"},
    sd_easting{"sd_easting", "of a side shot, on top of the tie's sd"};
inline constexpr Column<TextCell> setup{"setup", "whose sights count where the place is empty"};
using Terms = TableTerms<table, mark, x, y, northing, easting, sd, sd_x, sd_y, tolerance, x_line, x_off,
                         y_line, y_off, face_of, sd_northing, sd_easting, setup>;
using Places = PlacePairs<PlacePair<northing, easting>>;

}  // namespace deckmark::ties
