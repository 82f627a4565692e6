#pragma once
/// The table of what each place of the drawing needs.

#include "job/tables/found_words.h"
#include "terms/columns.h"

namespace deckmark::needs {

inline constexpr TableWord table{"needs", "parts that hang beside the pieces, and what each is needed for"};
inline constexpr Column<NameCell> part{
    "part", "its name; several rows of one part add up", Stands::required, {}, kPartWords};
inline constexpr Column<TextCell> per{
    "per",
    "hanger (bridged or not); on every member: joint, end-left, end-right (a free end as seen from outside "
    "the pair, facing the member; of a single one start and finish), wall, corner-inside, corner-outside, "
    "through-crossing, crossing, metre, piece",
    Stands::required};
inline constexpr Column<DecimalCell> count{
    "count", "how many for one of these; 0.5 too", Stands::required, {}, kCountWords};
using Terms = TableTerms<table, part, per, count>;

}  // namespace deckmark::needs
