#pragma once
/// The table of what a level read.

#include "terms/columns.h"

namespace deckmark::level_readings {

inline constexpr TableWord table{"level readings", "staffs read by a level, in the order read"};
inline constexpr Column<NameCell> setup{"setup", "of the level; a new name wherever it was set up again",
                                        Stands::required};
inline constexpr Column<NameCell> target{
    "target", "benchmark, point, floor number, deck number, or a name of its own", Stands::required};
inline constexpr Column<LengthCell> back{
    "back", "staff read on what is known; of a staff held upside down with a minus"};
inline constexpr Column<LengthCell> fore{"fore", "staff read on what is wanted; a row has back or fore"};
inline constexpr Column<TextCell> level{"level",
                                        "floor, deck or bracket, of a point; a deck number is deck, others "
                                        "floor unless stated"};
inline constexpr Column<LengthCell> distance{"distance", "from the level to the staff"};
using Terms = TableTerms<table, setup, target, back, fore, level, distance>;
using Places = OneOf<back, fore>;

}  // namespace deckmark::level_readings
