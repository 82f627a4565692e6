#pragma once
/// The table of points that an instrument stored, which `book --read` takes.

#include "job/tables/found_words.h"
#include "terms/columns.h"

namespace deckmark::stored_points {

inline constexpr TableWord table{
    "stored points", "a file that an instrument stored, for deckmark book --read", kSightedMarkColumns};
inline constexpr Column<NameCell> point{
    "point",
    "number or deck number of a mark, or a known target; any other name is a note",
    Stands::required,
    {},
    kNameWords};
inline constexpr Column<LengthCell> northing{
    "northing", "as the instrument computed it", Stands::required, {}, kNorthingWords};
inline constexpr Column<LengthCell> easting{
    "easting", "as the instrument computed it", Stands::required, {}, kEastingWords};
inline constexpr Column<LengthCell> elevation{
    "elevation", "of the mark", Stands::optional, {}, kElevationWords};
inline constexpr Column<TextCell> setup{"setup",
                                        "from which it was stored; that of --setup where it is empty",
                                        Stands::optional,
                                        {},
                                        kSetupWords};
inline constexpr Column<TextCell> time{
    "time", "ISO 8601; without an offset that of the clock; empty: as the row before"};
using Terms = TableTerms<table, point, northing, easting, elevation, setup, time>;

}  // namespace deckmark::stored_points
