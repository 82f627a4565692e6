#pragma once
/// The table of obstructions.

#include "terms/columns.h"

namespace deckmark::obstructions {

inline constexpr TableWord table{"obstructions",
                                 "outlines that hangers keep clear of, a row for every corner"};
inline constexpr Column<NameCell> name{"name", "of the obstruction", Stands::required};
inline constexpr Column<LengthCell> x{"x", "of the corner", Stands::required},
    y{"y", "of the corner", Stands::required};
inline constexpr Column<LengthCell> clearance{"clearance", "that hangers keep from it"};
using Terms = TableTerms<table, name, x, y, clearance>;

}  // namespace deckmark::obstructions
