#pragma once
/// What the books say of one number, and which link is likely wrong where a shot finds its cross elsewhere.

#include <cstdint>
#include <string>
#include <vector>

#include "report/history_text.h"
#include "work/computation.h"

namespace deckmark {

struct BookHistory {
  std::vector<HistoryStep> steps;  ///< its entries, in the order of time
  std::string blame;               ///< a sentence; empty where nothing is in dispute
};
/// `row`: the last one of the number in the ledger; `mark`: of the drawing, or none. Problems: books that do
/// not hold.
BookHistory book_history(const Computation& c, std::uint32_t row, std::uint32_t mark, Messages& messages);

}  // namespace deckmark
