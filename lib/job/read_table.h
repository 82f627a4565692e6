#pragma once
/// Where the rows of a table that was read are.

#include <cstdint>
#include <memory>
#include <vector>

#include "table/reader.h"

namespace deckmark {

/// A table that was read: where its rows' cells are.
struct ReadTable {
  std::shared_ptr<const Table> table;  ///< none where the job names no such table
  std::vector<std::uint32_t> begins;   ///< of the rows
};

}  // namespace deckmark
