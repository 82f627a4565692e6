#pragma once
/// Private to the room: a column of a table by its word.

#include <cstddef>
#include <string_view>

#include "table/reader.h"

namespace deckmark {

/// Its place; that of the first, which names the row, where the table has none of that word.
std::size_t column_of(const Table& table, std::string_view word);

}  // namespace deckmark
