#pragma once
/// Names in cells beyond those that `read_name` requires.

#include <optional>
#include <string_view>

#include "table/reader.h"

namespace deckmark {

/// Characters of a name: enough for every drawing, and file names that hold one stay under 255 bytes.
inline constexpr std::size_t kLongestName = 200;

/// As `read_name`, of a name that may be left out: empty cells are fine, and so is a leading `=`.
std::optional<std::string_view> read_name_or_empty(const Table& table, const Row& row, std::size_t column,
                                                   Messages& messages);
/// As `read_name`, of any length: a name that was issued before there was a limit.
std::optional<std::string_view> read_issued_name(const Table& table, const Row& row, std::size_t column,
                                                 Messages& messages);

}  // namespace deckmark
