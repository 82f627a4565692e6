#pragma once
/// Characters of UTF-8 text.

#include <algorithm>
#include <cstddef>
#include <string_view>

namespace deckmark {

struct Character {
  char32_t code = 0;
  std::size_t size = 0;  ///< bytes taken; 0 where no valid UTF-8 character begins
};

/// The character at the front. REQUIRES text that is not empty.
Character first_character(std::string_view text);

/// Whether a byte stands inside a character, behind its first byte.
constexpr bool continues_character(char byte) { return (static_cast<unsigned char>(byte) & 0xC0) == 0x80; }

/// Characters of a text, by their first bytes.
inline std::size_t character_count(std::string_view text) {
  return static_cast<std::size_t>(
      std::count_if(text.begin(), text.end(), [](char c) { return !continues_character(c); }));
}

}  // namespace deckmark
