#pragma once
/// The table of no-drill zones.

#include "terms/columns.h"

namespace deckmark::no_drill {

inline constexpr TableWord table{
    "no_drill", "zones of tendons, bars, conduit as scanned: a row for every corner, two of a line"};
inline constexpr Column<NameCell> zone{"zone", "its name", Stands::required};
inline constexpr Column<LengthCell> x{"x", "of the corner", Stands::required},
    y{"y", "of the corner", Stands::required};
inline constexpr Column<LengthCell> clearance{
    "clearance", "that is kept from it, on both sides of a line; default [obstructions] clearance"};
inline constexpr Column<TextCell> reference{"reference", "of the scan"};
using Terms = TableTerms<table, zone, x, y, clearance, reference>;

}  // namespace deckmark::no_drill
