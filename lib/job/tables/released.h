#pragma once
/// The table of what was released for drilling.

#include "terms/columns.h"

namespace deckmark::released {

inline constexpr TableWord table{
    "released", "what was released for drilling: nothing else says drill", {}, true};
inline constexpr Column<NameCell> what{"what", "a run, a bay, or all", Stands::required};
inline constexpr Column<NameCell> by{"by", "who released it", Stands::required};
inline constexpr Column<TextCell> on{"on", "the date: 2026-11-25, or 25 November 2026", Stands::required};
inline constexpr Column<TextCell> reference{"reference", "of the letter or the drawing that says so"};
using Terms = TableTerms<table, what, by, on, reference>;

}  // namespace deckmark::released
