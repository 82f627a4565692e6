#pragma once
/// The table of what was read from a laser's plane.

#include "terms/columns.h"

namespace deckmark::laser_readings {

inline constexpr TableWord table{"laser readings", "what was read from a laser's plane to each target"};
inline constexpr Column<NameCell> laser{"laser", "one standing; a new name wherever it was set up again",
                                        Stands::required};
inline constexpr Column<NameCell> target{
    "target", "benchmark, point, floor number, deck number, or a name of its own", Stands::required};
inline constexpr Column<LengthCell> reading{"reading", "from the plane to the target, never below zero",
                                            Stands::required};
inline constexpr Column<TextCell> target_is{
    "target_is", "below or above: where the target lies from the plane", Stands::required};
inline constexpr Column<LengthCell> distance{"distance", "from the laser, along the floor", Stands::required};
inline constexpr Column<TextCell> level{"level",
                                        "floor, deck or bracket, of a point; a deck number is deck, others "
                                        "floor unless stated"};
inline constexpr Column<NumberCell> housing{
    "housing", "0 or 180: how the laser was turned; of a target read both ways the mean counts"};
using Terms = TableTerms<table, laser, target, reading, target_is, distance, level, housing>;

}  // namespace deckmark::laser_readings
