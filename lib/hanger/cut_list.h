#pragma once
/// One-dimensional cutting stock: cuts packed into stock pieces, with the lower bound beside what was found.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "hanger/hanger_options.h"

namespace deckmark {

/// The cut of a hanger: its length between deck point and bracket, a lean included, and the allowances.
Length cut_length(Length drop, Length lean, const CutOptions& options);

struct StockPiece {
  std::vector<std::size_t> cuts;  ///< longest first
  Length offcut;                  ///< what is left to use, the kerfs taken off
};

struct CutListResult {
  std::vector<StockPiece> pieces;       ///< in the order in which the cuts first need them
  std::vector<std::uint32_t> piece_of;  ///< of every cut, from 0
  std::size_t lower_bound = 0;          ///< fewer pieces cannot do
  Length waste = Length::metres(0);     ///< stock taken less cuts: offcuts and kerfs
};

/// Packs cuts into as few stock pieces as it finds.
///
/// Method    the best of first-fit decreasing, best-fit decreasing and minimum bin slack; an exact search for
/// lists of
///           up to 24 cuts; for up to 400 different lengths column generation, whose patterns are taken over
///           a part at a time. Lower bound: the largest of sum over stock, dual feasible functions, and the
///           relaxation that the column generation solves.
/// Accuracy  lengths are taken to 10 nm.
/// Source    S. Martello, P. Toth, "Knapsack Problems", Wiley 1990, ch. 8 (first fit, bounds); S. Fekete, J.
/// Schepers,
///           "New classes of fast lower bounds for bin packing problems", Math. Programming 91 (2001); J.
///           Gupta, J. Ho, minimum bin slack, Production Planning and Control 10 (1999); P. Gilmore, R.
///           Gomory, Operations Research 9 (1961); A. Farley's bound, Operations Research 38 (1990). All from
///           memory.
/// REQUIRES  0 < cut <= stock for every cut (to 10 nm), kerf zero or more.
[[nodiscard]] CutListResult cut_list(std::span<const Length> cuts, Length stock, Length kerf);

}  // namespace deckmark
