#pragma once
/// The table of printed dimensions.

#include "terms/columns.h"

namespace deckmark::dimensions {

inline constexpr TableWord table{"dimensions", "dimensions that the drawing prints"};
inline constexpr Column<NameCell> from{"from", "a drawing point", Stands::required},
    to{"to", "another drawing point", Stands::required};
inline constexpr Column<LengthCell> distance{"distance", "as printed", Stands::required};
using Terms = TableTerms<table, from, to, distance>;

}  // namespace deckmark::dimensions
