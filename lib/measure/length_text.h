#pragma once
/// Text of lengths: reading every notation a drawing or a field book carries, and writing feet-inches.

#include "measure/fault.h"
#include "measure/length.h"

#include <optional>
#include <string>
#include <string_view>

namespace deckmark {

/// How a bare number, without unit or marks, is read.
struct LengthForm {
  LengthUnit bare;             ///< unit of a bare number; under feet_inches a bare number other than 0 is refused
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

/// Reads a length. Exact: the text is a rational number of the unit, rounded once to double.
/// In a survey_foot form feet and inches (marks or words) are survey feet and their twelfths.
Outcome<LengthReading> read_length(std::string_view text, const LengthForm& form);

/// Feet-inches, rounded half away from zero to 1/denominator inch, carried and reduced: `-3'-4 1/2"`, `0'-0"`.
/// `denominator` is a power of two from 1 to 64.
std::string feet_inches_text(Length value, int denominator);
/// Feet and decimal inches with carry: `3'-0.00"`.
std::string feet_decimal_inches_text(Length value, int decimals);

}  // namespace deckmark
