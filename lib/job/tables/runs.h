#pragma once
/// The table of runs.

#include "terms/columns.h"

namespace deckmark::runs {

inline constexpr TableWord table{"runs", "lines, arcs and rings along which hangers stand"};
inline constexpr Column<NameCell> run{"run", "its name", Stands::required};
inline constexpr Column<TextCell> kind{"kind", "line, arc or ring; line unless stated"};
inline constexpr Column<LengthCell> x1{"x1", "where it begins", Stands::required},
    y1{"y1", "where it begins", Stands::required};
inline constexpr Column<LengthCell> x2{"x2", "where it ends; of a ring the point opposite x1, y1",
                                       Stands::required},
    y2{"y2", "where it ends", Stands::required};
inline constexpr Column<LengthCell> xm{"xm", "on an arc, between its ends"},
    ym{"ym", "on an arc, between its ends"};
inline constexpr Column<LengthCell> height{"height", "of its brackets above the floor"};
using Terms = TableTerms<table, run, kind, x1, y1, x2, y2, xm, ym, height>;

}  // namespace deckmark::runs
