#pragma once
/// The table of what was delivered.

#include "job/tables/found_words.h"
#include "terms/columns.h"

namespace deckmark::arrived {

inline constexpr TableWord table{"arrived", "what was delivered, damaged ones too"};
inline constexpr Column<NameCell> part{
    "part", "a part of needs, or a piece; rows of one part add up", Stands::required, {}, kPartWords};
inline constexpr Column<NumberCell> count{
    "count", "how many came, damaged ones too", Stands::required, {}, kCountWords};
inline constexpr Column<NumberCell> damaged{"damaged", "how many of these cannot be hung"};
using Terms = TableTerms<table, part, count, damaged>;

}  // namespace deckmark::arrived
