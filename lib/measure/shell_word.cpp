#include "measure/shell_word.h"

#include <algorithm>

namespace deckmark {

std::string shell_word(std::string_view text) {
  const auto is_plain = [](char c) {
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '.' ||
           c == '/' || c == '_' || c == '-';
  };
  if (!text.empty() && !text.starts_with('-') && std::ranges::all_of(text, is_plain))
    return std::string(text);
  std::string out = text.starts_with('-') ? "./'" : "'";
  for (const char c : text) out += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return out + "'";
}

}  // namespace deckmark
