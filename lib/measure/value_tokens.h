#pragma once
/// The tokens of the text of a length or an angle. Not for other rooms.

#include <cstdint>
#include <string_view>
#include <vector>

#include "measure/number_scan.h"

namespace deckmark::value_tokens {

enum class Kind : std::uint8_t {
  number,
  vulgar,
  slash,
  feet_mark,
  inch_mark,
  hyphen,
  minus,
  plus,
  word,
  other,
  end
};

struct Token {
  Kind kind = Kind::end;
  std::string_view text;
  bool blank_before = false;
  number_scan::Decimal number;              ///< of a number
  unsigned numerator = 0, denominator = 1;  ///< of a vulgar fraction character
};

/// Always ends with a token of kind `end`. Bytes that are no text, and other characters, become `other`.
std::vector<Token> tokens_of(std::string_view text, bool decimal_comma);

}  // namespace deckmark::value_tokens
