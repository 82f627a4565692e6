#pragma once
/// The tokens of the text of a length or an angle. Not for other rooms.

#include <algorithm>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
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

/// What the parsers of both have in common: the place among the tokens, the sign, the flaw that was met.
class TokenReader {
 protected:
  /// The tokens outlive the reader.
  explicit TokenReader(const std::vector<Token>& tokens) : tokens_(tokens) {}

  const Token& now(std::size_t ahead = 0) const { return tokens_[std::min(at_ + ahead, tokens_.size() - 1)]; }
  bool is(Kind kind, std::size_t ahead = 0) const { return now(ahead).kind == kind; }
  std::nullopt_t refuse(std::string remark = "", std::string cure = "", std::string candidate = "") {
    flaw_ = {std::move(remark), std::move(cure), std::move(candidate)};
    return std::nullopt;
  }
  /// `restated`: the value of the whole text, exactly, in other figures.
  std::nullopt_t refuse_and_restate(std::string remark, std::string cure, std::string restated) {
    flaw_ = {std::move(remark), std::move(cure), "", std::move(restated)};
    return std::nullopt;
  }
  std::string signed_text(std::string text) const { return (negative_ ? "-" : "") + text; }

  const std::vector<Token>& tokens_;
  std::size_t at_ = 0;
  bool negative_ = false;
  number_scan::Flaw flaw_;
};

}  // namespace deckmark::value_tokens
