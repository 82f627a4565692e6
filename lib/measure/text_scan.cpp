#include "measure/text_scan.h"

#include <array>

namespace deckmark::text_scan {

namespace {

struct Range {
  char32_t first, last;
};

// Unicode 15: general categories Cc, Cf, Zl, Zp, the blanks of Zs other than U+0020, fillers, variation
// selectors, noncharacters and private planes.
constexpr std::array<Range, 22> kUnseen{
    {{0x00, 0x1F},       {0x7F, 0xA0},       {0xAD, 0xAD},     {0x34F, 0x34F},   {0x61C, 0x61C},
     {0x115F, 0x1160},   {0x1680, 0x1680},   {0x17B4, 0x17B5}, {0x180B, 0x180E}, {0x2000, 0x200F},
     {0x2028, 0x202F},   {0x205F, 0x206F},   {0x3000, 0x3000}, {0x3164, 0x3164}, {0xFE00, 0xFE0F},
     {0xFEFF, 0xFEFF},   {0xFFA0, 0xFFA0},   {0xFFF0, 0xFFFB}, {0xFFFE, 0xFFFF}, {0x1D173, 0x1D17A},
     {0xE0000, 0xE0FFF}, {0xF0000, 0x10FFFF}}};

std::string hex(char32_t value, int least_digits) {
  constexpr std::string_view digits = "0123456789ABCDEF";
  int n = least_digits;
  while (n < 8 && (value >> (4 * n)) != 0) ++n;
  std::string out;
  for (int i = n - 1; i >= 0; --i) out += digits[(value >> (4 * i)) & 0xF];
  return out;
}

}  // namespace

bool is_unseen(char32_t c) {
  for (const Range& r : kUnseen) {
    if (c >= r.first && c <= r.last) return true;
  }
  return false;
}

bool is_blank(char32_t c) {
  return c == ' ' || c == '\t' || c == 0xA0 || (c >= 0x2000 && c <= 0x200A) || c == 0x202F || c == 0x205F ||
         c == 0x3000;
}

std::string_view trimmed(std::string_view text) {
  while (!text.empty()) {
    const Character c = first_character(text);
    if (c.size == 0 || !is_blank(c.code)) break;
    text.remove_prefix(c.size);
  }
  while (!text.empty()) {
    std::size_t start = text.size() - 1;  // step back over continuation bytes
    while (start > 0 && continues_character(text[start])) --start;
    const Character c = first_character(text.substr(start));
    if (c.size != text.size() - start || !is_blank(c.code)) break;
    text.remove_suffix(c.size);
  }
  return text;
}

std::string code_name(char32_t c) { return "U+" + hex(c, 4); }

std::string byte_name(char byte) { return "0x" + hex(static_cast<unsigned char>(byte), 2); }

}  // namespace deckmark::text_scan

namespace deckmark {

std::string small_letters(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = small_letter(c);
  return out;
}

}  // namespace deckmark
