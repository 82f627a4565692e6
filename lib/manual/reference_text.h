#pragma once
/// Private to the room: keys, tables and files as text.

#include <cstddef>
#include <string>
#include <string_view>

#include "manual/manual.h"

namespace deckmark {

Outcome<std::string> keys_text(std::string_view name, std::size_t width);
Outcome<std::string> tables_text(std::string_view name, std::size_t width);
Outcome<std::string> files_text(const Manual& manual, std::string_view name, std::size_t width);

/// The example of a key as it is typed, a list that is too long for a line in several.
std::string key_line(std::string_view name, std::string_view example, std::size_t width);

}  // namespace deckmark
