#pragma once
/// The table of pieces.

#include "terms/columns.h"

namespace deckmark::pieces {

inline constexpr TableWord table{"pieces", "the pieces of which runs are made, in order"};
inline constexpr Column<NameCell> piece{"piece", "its name", Stands::required};
inline constexpr Column<NameCell> run{"run", "the run along which it lies", Stands::required};
inline constexpr Column<LengthCell> length{"length", "along the run", Stands::required};
using Terms = TableTerms<table, piece, run, length>;

}  // namespace deckmark::pieces
