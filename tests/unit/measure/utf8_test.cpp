// Characters of UTF-8 text: lengths, forms that are none, counting.
#include "measure/utf8.h"

#include <doctest/doctest.h>

#include <string_view>

using namespace deckmark;

TEST_CASE("the character at the front, or none where the bytes are no UTF-8") {
  struct Row {
    std::string_view text;
    char32_t code;
    std::size_t size;
  };
  // Bounds of each length, and forms that RFC 3629 section 3 and 4 forbid: bytes inside a character, overlong
  // forms, surrogates, beyond U+10FFFF, cut off.
  for (const Row& r :
       {Row{"ab", 'a', 1}, Row{"\x7F", 0x7F, 1}, Row{"\xC2\x80", 0x80, 2}, Row{"\xDF\xBF", 0x7FF, 2},
        Row{"\xE0\xA0\x80", 0x800, 3}, Row{"\xED\x9F\xBF", 0xD7FF, 3}, Row{"\xEE\x80\x80", 0xE000, 3},
        Row{"\xEF\xBF\xBFz", 0xFFFF, 3}, Row{"\xF0\x90\x80\x80", 0x10000, 4},
        Row{"\xF4\x8F\xBF\xBF", 0x10FFFF, 4}, Row{"\x80", 0, 0}, Row{"\xC1\xBF", 0, 0},
        Row{"\xE0\x9F\xBF", 0, 0}, Row{"\xED\xA0\x80", 0, 0}, Row{"\xF0\x8F\xBF\xBF", 0, 0},
        Row{"\xF4\x90\x80\x80", 0, 0}, Row{"\xF5\x80\x80\x80", 0, 0}, Row{"\xE2\x82", 0, 0},
        Row{"\xE2\x82z", 0, 0}}) {
    CAPTURE(r.text);
    const Character c = first_character(r.text);
    CHECK(c.code == r.code);
    CHECK(c.size == r.size);
  }
}

TEST_CASE("characters are counted, not bytes") {
  CHECK(character_count("") == 0);
  CHECK(character_count("H-01") == 4);
  CHECK(character_count("St\u00FCtze \u2014 \U0001F4CF") == 10);
}
