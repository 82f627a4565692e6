#pragma once
/// The table of taped lengths.

#include "terms/columns.h"

namespace deckmark::lengths {

inline constexpr TableWord table{"lengths", "lengths between marks that were measured on site"};
inline constexpr Column<NameCell> from{"from", "a mark", Stands::required},
    to{"to", "another mark", Stands::required};
inline constexpr Column<LengthCell> measured{"measured", "as read", Stands::required};
inline constexpr Column<LengthCell> sd{"sd", "its standard deviation"};
inline constexpr Column<TextCell> temperature{"temperature", "of the tape: C, or F where it says so"};
inline constexpr Column<LengthCell> slope_rise{"slope_rise", "of one end above the other"};
using Terms = TableTerms<table, from, to, measured, sd, temperature, slope_rise>;

}  // namespace deckmark::lengths
