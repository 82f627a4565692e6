#pragma once
/// What a job says of the parts that it needs, of the bill and of what arrived. Data only.

#include <optional>
#include <vector>

#include "bill/delivery.h"
#include "job/read_table.h"
#include "measure/length.h"

namespace deckmark {

/// The length that a row of the bill states for one piece.
struct BilledLength {
  Length length;
  bool is_bare = false;  ///< its unit is that of its column, not of its cell
};

struct BillJob {
  ReadTable needs_table, bill_table, arrived_table;
  std::vector<PartNeed> needs;
  std::vector<BilledPart> bill;
  std::vector<std::optional<BilledLength>> lengths;  ///< by `bill`
  std::vector<ArrivedPart> arrived;

  bool any() const { return needs_table.table || bill_table.table || arrived_table.table; }
};

}  // namespace deckmark
