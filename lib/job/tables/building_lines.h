#pragma once
/// The table of building lines.

#include "terms/columns.h"

namespace deckmark::building_lines {

inline constexpr TableWord table{"building lines", "lines from which ties are measured"};
inline constexpr Column<NameCell> line{"line", "its name", Stands::required};
inline constexpr Column<TextCell> axis{"axis", "x for a line whose x is known, y for one whose y is",
                                       Stands::required};
inline constexpr Column<LengthCell> at{"at", "that x or y", Stands::required};
using Terms = TableTerms<table, line, axis, at>;

}  // namespace deckmark::building_lines
