#include "measure/fault.h"

#include "measure/text_scan.h"

namespace deckmark {

std::string in_quotes(std::string_view text) {
  constexpr int kLongest = 40;
  std::string out = "\"";
  for (int shown = 0; !text.empty(); ++shown) {
    if (shown == kLongest) {
      out += "...";
      break;
    }
    const text_scan::Character c = text_scan::front(text);
    if (c.size == 0) {
      out += text_scan::byte_name(text[0]);
    } else if (text_scan::is_unseen(c.code)) {
      out += text_scan::code_name(c.code);
    } else {
      if (c.code == '"') out += '\\';
      out += text.substr(0, c.size);
    }
    text.remove_prefix(c.size == 0 ? 1 : c.size);
  }
  return out += '"';
}

}  // namespace deckmark
