#pragma once
/// Delimited text as cells alone, whatever it means: of files that another program wrote.

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "table/message.h"
#include "table/source.h"

namespace deckmark {

struct PlainRow {
  std::vector<std::string> cells;     ///< trimmed, without their quotes
  std::vector<std::uint32_t> begins;  ///< of the cells in the file
};

/// All rows but blank lines and comments. Problems: a quote that is not closed, text behind one, a cell that
/// is no text; such a row is left out.
std::vector<PlainRow> plain_rows(const std::shared_ptr<const Source>& source, char separator,
                                 Messages& messages);

}  // namespace deckmark
