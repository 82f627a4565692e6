#include "measure/value_tokens.h"

#include "measure/text_scan.h"
#include "measure/vulgar_fractions.h"

namespace deckmark::value_tokens {

namespace {

// Apostrophe, curly quotes, prime and its letter form, acute accent.
bool is_feet_mark(char32_t c) {
  return c == '\'' || c == 0x2018 || c == 0x2019 || c == 0x2032 || c == 0x2B9 || c == 0x2BC || c == 0xB4;
}
bool is_inch_mark(char32_t c) { return c == '"' || c == 0x201C || c == 0x201D || c == 0x2033 || c == 0x2BA; }

Token mark(std::string_view text, const Character& c) {
  Token t;
  t.text = text.substr(0, c.size);
  if (const VulgarFraction* found = vulgar_fraction(c.code)) {
    t.kind = Kind::vulgar;
    t.numerator = found->numerator;
    t.denominator = found->denominator;
  } else if (is_feet_mark(c.code)) {
    // The same mark twice, with nothing between, is the inch mark.
    const bool twice = text.substr(c.size).starts_with(t.text);
    if (twice) t.text = text.substr(0, 2 * c.size);
    t.kind = twice ? Kind::inch_mark : Kind::feet_mark;
  } else if (is_inch_mark(c.code)) {
    t.kind = Kind::inch_mark;
  } else if (c.code == '/' || c.code == 0x2044 || c.code == 0x2215) {
    t.kind = Kind::slash;
  } else if (c.code == '-' || c.code == 0x2010 || c.code == 0x2011 || c.code == 0x2013) {
    t.kind = Kind::hyphen;
  } else if (c.code == 0x2212) {
    t.kind = Kind::minus;
  } else {
    t.kind = c.code == '+' ? Kind::plus : Kind::other;
  }
  return t;
}

// `ft`, `us-ft`, `in.`; the full stop of a shortened foot or inch belongs to it unless a number begins with
// it.
Token word(std::string_view text) {
  std::size_t n = 0;
  while (n < text.size() && is_letter(text[n])) ++n;
  const std::string first = small_letters(text.substr(0, n));
  if (first == "us" && n < text.size() && text[n] == '-') {
    std::size_t k = n + 1;
    while (k < text.size() && is_letter(text[k])) ++k;
    n = k;
  } else if ((first == "ft" || first == "in") && n < text.size() && text[n] == '.' &&
             (n + 1 == text.size() || !text_scan::is_digit(text[n + 1]))) {
    ++n;
  }
  Token t;
  t.kind = Kind::word;
  t.text = text.substr(0, n);
  return t;
}

}  // namespace

std::vector<Token> tokens_of(std::string_view text, bool decimal_comma) {
  std::vector<Token> out;
  bool blank = false;
  while (!text.empty()) {
    const Character c = first_character(text);
    if (c.size != 0 && text_scan::is_blank(c.code)) {
      blank = true;
      text.remove_prefix(c.size);
      continue;
    }
    Token t;
    if (c.size == 0) {
      t.kind = Kind::other;
      t.text = text.substr(0, 1);
    } else if (auto number = number_scan::front(text, decimal_comma)) {
      t.kind = Kind::number;
      t.text = text.substr(0, number->size);
      t.number = std::move(*number);
    } else if (c.size == 1 && is_letter(text[0])) {
      t = word(text);
    } else {
      t = mark(text, c);
    }
    t.blank_before = blank;
    blank = false;
    text.remove_prefix(t.text.size());
    out.push_back(std::move(t));
  }
  out.emplace_back();
  return out;
}

}  // namespace deckmark::value_tokens
