#pragma once
/// The table of bays.

#include "terms/columns.h"

namespace deckmark::bays {

inline constexpr TableWord table{"bays", "parts of the deck, a row for every corner, in order"};
inline constexpr Column<NameCell> bay{"bay", "its name", Stands::required};
inline constexpr Column<LengthCell> x{"x", "of the corner", Stands::required},
    y{"y", "of the corner", Stands::required};
inline constexpr Column<LengthCell> elevation{"elevation", "of the underside"};
inline constexpr Column<TextCell> flutes{"flutes", "x or y, the axis along which they run"};
inline constexpr Column<LengthCell> flute_pitch{"flute_pitch", "from one fastening line to the next"},
    flute_first{"flute_first", "the other coordinate of a fastening line"};
using Terms = TableTerms<table, bay, x, y, elevation, flutes, flute_pitch, flute_first>;

}  // namespace deckmark::bays
