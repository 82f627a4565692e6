#include "measure/fault.h"

#include <iterator>

#include "measure/text_scan.h"
#include "measure/visible_lines.h"

namespace deckmark {

namespace {

/// Takes one character off the front: as it is shown.
std::string take_shown(std::string_view& text) {
  const Character c = first_character(text);
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

std::string visible_lines(std::string text) {
  // Bytes that may begin what is to be shown: nearly every text has none.
  const auto odd = [&text](std::string::const_iterator at) {
    const auto byte = static_cast<unsigned char>(*at);
    if (*at == '\f') return at != text.begin() && *std::prev(at) != '\n';
    return (byte < 0x20 && *at != '\n') || byte >= 0x7F;
  };
  const auto next_odd = [&](std::string::const_iterator from) {
    while (from != text.end() && !odd(from)) ++from;
    return from;
  };
  auto at = next_odd(text.begin());
  if (at == text.end()) return text;
  std::string out;
  out.reserve(text.size() + text.size() / 16);
  for (std::string::const_iterator from = text.begin(); from != text.end(); from = at) {
    at = next_odd(from);
    out.append(from, at);
    while (at != text.end() && odd(at)) {
      std::string_view rest(&*at, static_cast<std::size_t>(text.end() - at));
      const Character c = first_character(rest);
      const std::size_t before = rest.size();
      if (c.size > 0 && text_scan::is_blank(c.code) && c.code != '\t') {
        out += rest.substr(0, c.size);
        rest.remove_prefix(c.size);
      } else {
        out += take_shown(rest);
      }
      at += static_cast<std::ptrdiff_t>(before - rest.size());
    }
  }
  return out;
}

std::optional<std::string> unseen_character(std::string_view text) {
  while (!text.empty()) {
    const Character c = first_character(text);
    const bool blank = text_scan::is_blank(c.code) && c.code != '\t';
    if (c.size > 0 && text_scan::is_unseen(c.code) && !blank) return text_scan::code_name(c.code);
    text.remove_prefix(c.size == 0 ? 1 : c.size);
  }
  return std::nullopt;
}

}  // namespace deckmark
