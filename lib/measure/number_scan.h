#pragma once
/// The front of a text as an unsigned decimal number. Not for other rooms.

#include <optional>
#include <string>
#include <string_view>

#include "measure/exact.h"
#include "measure/fault.h"

namespace deckmark::number_scan {

/// Digits with the point taken out, and the power of ten that puts it back.
struct Decimal {
  std::string digits;
  int exponent = 0;
  std::size_t size = 0;  ///< bytes taken
  bool has_point = false;
  bool has_exponent = false;
  bool is_whole() const { return !has_point && !has_exponent; }
  /// The last written digit is worth one or more, and an exponent hides that digits were lost.
  bool is_coarse() const { return has_exponent && exponent >= 0; }
  exact::Term term(std::uint64_t numerator = 1, std::uint64_t denominator = 1) const {
    return {digits, exponent, numerator, denominator};
  }
};

/// `12`, `12.5`, `.5`, `1.25e1`; with `decimal_comma` a comma may stand for the point. Nothing where no
/// number begins.
std::optional<Decimal> front(std::string_view text, bool decimal_comma);

/// What spoils a text that should have been a number, a length or an angle, whatever the kind.
struct Flaw {
  std::string remark;  ///< said of the found text: `, which holds the invisible character U+200B`
  /// What is expected; where it begins with a blank, comma or semicolon it follows the name of the kind (`a
  /// length`).
  std::string cure;
  /// The text without the flaw; offered only if the reader accepts it and it holds the same figures.
  std::string candidate;
  /// The same value in other figures, as 13'-1" for 12'-13". REQUIRES a value that its maker has from all
  /// parts of the text, exactly. Where the reader accepts both, the text has two meanings: they are named
  /// and neither is offered.
  std::string restated = {};
};

/// Flaws of characters and of what spreadsheets leave behind: bytes that are no text, control characters,
/// error words, words for missing, dates, times, accounting negatives, foreign digits and dashes, signs,
/// exponents, letters for digits. REQUIRES a trimmed text that was refused, not empty.
std::optional<Flaw> find_flaw(std::string_view text);
/// Commas and blanks that group digits, or a decimal comma where it is not read. REQUIRES valid UTF-8.
std::optional<Flaw> find_separator_flaw(std::string_view text, bool decimal_comma);

/// The text with U+0020 for blanks of every kind: what a keyboard types, and reads as the same value.
std::string with_plain_blanks(std::string_view text);

/// True where both texts hold the same whole numbers in the same order, whatever stands between them: no
/// figure was lost, joined or made. Full-width digits, letters for digits and fraction characters count as
/// the figures that they stand for.
bool keeps_figures(std::string_view text, std::string_view candidate);

/// The fault of `text` by its flaw; `kind` is `a number` and the like, `accepts` tells whether a candidate
/// can be offered. What is offered reads as the one value that the text can have meant.
template <class Accepts>
Fault fault_of(std::string_view text, std::string_view kind, const Flaw& flaw, const Accepts& accepts) {
  const bool continues =
      flaw.cure.empty() || flaw.cure[0] == ' ' || flaw.cure[0] == ',' || flaw.cure[0] == ';';
  Fault fault{in_quotes(text) + flaw.remark, (continues ? std::string(kind) : std::string()) + flaw.cure, ""};
  const std::string candidate = with_plain_blanks(flaw.candidate), other = with_plain_blanks(flaw.restated);
  const bool mended = !candidate.empty() && keeps_figures(text, candidate) && accepts(candidate);
  const bool restated = !other.empty() && accepts(other);
  if (mended && restated)
    fault.expected += ": " + candidate + " or " + other;
  else if (mended || restated)
    fault.suggestion = mended ? candidate : other;
  return fault;
}

}  // namespace deckmark::number_scan
