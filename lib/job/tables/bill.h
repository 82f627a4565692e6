#pragma once
/// The table of what the bill of materials orders.

#include "job/tables/found_words.h"
#include "terms/columns.h"

namespace deckmark::bill {

inline constexpr TableWord table{"bill", "the bill of materials: what was ordered"};
inline constexpr Column<NameCell> part{
    "part", "a part of needs, or a piece; rows of one part add up", Stands::required, {}, kPartWords};
inline constexpr Column<NumberCell> count{"count", "how many", Stands::required, {}, kCountWords};
inline constexpr Column<LengthCell> length{
    "length", "of one piece, held against the drawing's; in the drawing unit unless stated"};
using Terms = TableTerms<table, part, count, length>;

}  // namespace deckmark::bill
