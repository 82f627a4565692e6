#pragma once
/// Private to the room: what is typed behind an option.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "table/message.h"

namespace deckmark {

/// False where there is no text, or a character that does not show in it (told).
bool is_typed_text(std::string_view option, const std::string& text, std::string_view expected,
                   std::string_view example, Messages& messages);
/// The same of a date that nobody reads two ways: 2026-11-25, or a day, a month's name in any language and a
/// year.
bool is_typed_date(std::string_view option, const std::string& text, std::string_view expected,
                   Messages& messages);
/// A whole number in digits alone.
std::optional<std::uint32_t> typed_number(std::string_view text);

}  // namespace deckmark
