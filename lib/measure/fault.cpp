#include "measure/fault.h"

#include "measure/text_scan.h"

namespace deckmark {

namespace {

/// Takes one character off the front: as it is shown.
std::string take_shown(std::string_view& text) {
  const text_scan::Character c = text_scan::front(text);
  const std::size_t size = c.size == 0 ? 1 : c.size;
  std::string out = c.size == 0                    ? text_scan::byte_name(text[0])
                    : text_scan::is_unseen(c.code) ? text_scan::code_name(c.code)
                                                   : std::string(text.substr(0, size));
  text.remove_prefix(size);
  return out;
}

}  // namespace

std::string in_quotes(std::string_view text) {
  constexpr int kLongest = 40;
  std::string out = "\"";
  for (int shown = 0; !text.empty(); ++shown) {
    if (shown == kLongest) {
      out += "...";
      break;
    }
    if (text.front() == '"') out += '\\';
    out += take_shown(text);
  }
  return out += '"';
}

std::string visible(std::string_view text) {
  std::string out;
  while (!text.empty()) out += take_shown(text);
  return out;
}

std::optional<std::string> unseen_character(std::string_view text) {
  while (!text.empty()) {
    const text_scan::Character c = text_scan::front(text);
    const bool blank = text_scan::is_blank(c.code) && c.code != '\t';
    if (c.size > 0 && text_scan::is_unseen(c.code) && !blank) return text_scan::code_name(c.code);
    text.remove_prefix(c.size == 0 ? 1 : c.size);
  }
  return std::nullopt;
}

}  // namespace deckmark
