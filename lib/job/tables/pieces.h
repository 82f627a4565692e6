#pragma once
/// The table of pieces.

#include "terms/columns.h"

namespace deckmark::pieces {

inline constexpr TableWord table{"pieces", "the pieces of which runs are made, in order"};
inline constexpr Column<NameCell> piece{"piece", "its name", Stands::required};
inline constexpr Column<NameCell> run{"run", "the run along which it lies", Stands::required};
inline constexpr Column<LengthCell> length{"length", "along its middle line", Stands::required};
inline constexpr Column<TextCell> member{
    "member", "left, right, inside or outside; empty: one piece on each member, cut at the same places"};
inline constexpr Column<TextCell> notches{"notches", "distances from the start of the piece, parted by ;"};
inline constexpr Column<TextCell> may_cut{
    "may_cut", "start, finish, both or no: where it may be cut on site; else both"};
using Terms = TableTerms<table, piece, run, length, member, notches, may_cut>;

}  // namespace deckmark::pieces
