#pragma once
/// The ledger of numbers, which the program writes and reads again.

#include "terms/columns.h"

namespace deckmark::ledger {

inline constexpr TableWord table{"ledger", "the numbers that were given out", {}, true};
inline constexpr Column<NameCell> point{"point", "its name", Stands::required};
inline constexpr Column<NumberCell> number{"number", "its floor number", Stands::required};
inline constexpr Column<TextCell> status{"status", "live or dropped", Stands::required};
inline constexpr Column<LengthCell> x{"x", "in the drawing when it was last listed", Stands::required},
    y{"y", "in the drawing when it was last listed", Stands::required};
inline constexpr Column<NumberCell> deck_offset{"deck_offset", "deck number minus floor number",
                                                Stands::required};
inline constexpr Column<TextCell> revision{"revision", "of the drawing when it was last listed",
                                           Stands::required};
inline constexpr Column<LengthCell> northing{"northing", "on site when it was last listed", Stands::required},
    easting{"easting", "on site when it was last listed", Stands::required};
using Terms = TableTerms<table, point, number, status, x, y, deck_offset, revision, northing, easting>;

}  // namespace deckmark::ledger
