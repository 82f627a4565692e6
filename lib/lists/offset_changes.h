#pragma once
/// What of the distances in an offsets.csv is no longer what an earlier one said.

#include <cstddef>
#include <cstdint>
#include <memory>
#include <set>

#include "measure/length.h"
#include "table/source.h"

namespace deckmark {

struct OffsetChanges {
  std::size_t count = 0;    ///< distances that are no longer the same, or no longer there
  std::int64_t number = 0;  ///< where the largest change is; the first in the file; 0: none has two
  Length largest = Length::metres(0);  ///< positive
};

/// Compares row by row, by number and name, what a sheet shows: along the run, from the strings (without:
/// along the axes), swing ties, drops. A number that one of them does not have is not compared, nor are
/// columns of another unit. None where a table cannot be read.
/// `strings`: the later one is of strings. `left_out`: numbers that are not compared.
OffsetChanges offset_changes(const std::shared_ptr<const Source>& before,
                             const std::shared_ptr<const Source>& now, bool strings,
                             const std::set<std::int64_t>& left_out);

}  // namespace deckmark
