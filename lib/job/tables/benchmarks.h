#pragma once
/// The table of benchmarks.

#include "job/tables/found_words.h"
#include "terms/columns.h"

namespace deckmark::benchmarks {

inline constexpr TableWord table{"benchmarks", "points of known height"};
inline constexpr Column<NameCell> point{"point", "its name", Stands::required, {}, kNameWords};
inline constexpr Column<LengthCell> elevation{
    "elevation", "of the point", Stands::required, {}, kElevationWords};
inline constexpr Column<LengthCell> sd{"sd", "standard deviation of its elevation; without it, it is held"};
using Terms = TableTerms<table, point, elevation, sd>;

}  // namespace deckmark::benchmarks
