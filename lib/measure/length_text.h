#pragma once
/// Text of lengths: reading every notation a drawing or a field book carries, and writing feet-inches.

#include <optional>
#include <string>
#include <string_view>

#include "measure/fault.h"
#include "measure/length.h"

namespace deckmark {

/// How a bare number, without unit or marks, is read.
struct LengthForm {
  LengthUnit bare;  ///< unit of a bare number; under feet_inches a bare number other than 0 is refused
  bool decimal_comma = false;  ///< semicolon and tab tables: one comma may stand for the point
  bool needs_unit = false;     ///< job file: a bare number other than 0 is refused whatever `bare` says
};

/// A length as read, with what its text said about itself.
struct LengthReading {
  Length value = Length::metres(0);
  std::optional<LengthUnit> stated;  ///< the unit in the text, where it stated one (feet_inches for marks)
  bool marks_left_out = false;       ///< `12-6 1/2` and the like: a notice prints the reading back
  bool coarse = false;               ///< `4.52E+05`: the last written digit is worth one unit or more
};

/// Reads a length.
///
/// Exact     the text is a rational number of the unit, rounded once to the nearest double of metres. -0
/// reads as 0. Range     0, or 1e-300 m to 1e9 m in size; texts up to 256 bytes. Units     the text's own
/// unit wins: m, mm, cm, ft, us-ft, usft, in (also feet, foot, inch, inches, `ft.`, `in.`), in any
///           letter case. In a survey_foot form the foot mark, inches, and feet with inches are survey feet
///           and their twelfths; the word `ft` alone stays the international foot and is told by `stated`.
/// Accepted  feet-inches with straight, curly or prime marks (opening curly quotes and the acute accent too),
/// two like
///           apostrophes as the inch mark, fraction characters, the fraction slash U+2044; hyphen, en dash or
///           blanks between the parts; blanks of every width; U+2212 as the sign in front; one apostrophe in
///           front that a spreadsheet puts before text; any denominator. Under feet_inches, with
///           marks_left_out: `12-6 1/2`, `12-6`, `12'6`, `12 6 1/2`, `12-6-1/2`, `12'-6 1/2`. In an inch form
///           a bare `6 1/2`.
/// Refused   bare numbers but 0 under feet_inches or needs_unit; `6 1/2` and `6-1/2` without a mark; inches
/// of 12 or more
///           beside feet; fractions of one or more (`17/16"`), with a blank beside the slash, or of a foot;
///           decimal feet with inches; thousands separators of every kind; a decimal comma without
///           `decimal_comma`; D exponents, hexadecimal, underscores, values under 1e-300; invisible
///           characters such as U+200B; dashes other than those above; letters for digits; negatives in
///           parentheses; words for missing; what spreadsheets make of lengths: dates, times, error words.
///           Each fault names the thing, and proposes a text only if this reader accepts it.
Outcome<LengthReading> read_length(std::string_view text, const LengthForm& form);

/// Feet-inches, rounded half away from zero to 1/denominator inch, carried and reduced: `-3'-4 1/2"`,
/// `0'-0"`; what rounds to zero has no minus. A value within 1e-9 m of a tie is taken for the tie, so that
/// ties reached by binary arithmetic print like ties typed, and negatives as their mirror images; no rounding
/// exceeds half the fraction by more than that. REQUIRES a size under 1e12 m; `denominator` is a power of two
/// from 1 to 64.
std::string feet_inches_text(Length value, int denominator);
/// Feet and decimal inches with carry: `3'-0.00"`; 0 to 4 decimals, rounded as above.
std::string feet_decimal_inches_text(Length value, int decimals);

}  // namespace deckmark
