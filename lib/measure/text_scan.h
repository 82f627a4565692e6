#pragma once
/// Characters of a value's text, shared by the readers of this room. Not for other rooms.

#include <cstddef>
#include <string>
#include <string_view>

#include "measure/letters.h"
#include "measure/utf8.h"

namespace deckmark::text_scan {

/// Shows as nothing or as a blank, or moves the text around it; U+0020 is not among them.
bool is_unseen(char32_t c);
/// A blank that a word processor or a spreadsheet puts in place of U+0020: tab, no-break, thin and wide
/// blanks.
bool is_blank(char32_t c);
/// Without blanks at both ends.
std::string_view trimmed(std::string_view text);

/// `U+2014`.
std::string code_name(char32_t c);
/// `0x92`.
std::string byte_name(char byte);

constexpr bool is_digit(char c) { return c >= '0' && c <= '9'; }

}  // namespace deckmark::text_scan
