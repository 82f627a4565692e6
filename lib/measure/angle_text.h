#pragma once
/// Text of angles: degrees-minutes-seconds in several notations, decimal degrees, gon, packed DDD.MMSSsss.

#include <optional>
#include <string>
#include <string_view>

#include "measure/angle.h"
#include "measure/fault.h"

namespace deckmark {

enum class AngleNotation { degrees, gon, packed };

/// How a bare number is read; without `bare` it is refused, since 45.3000 means two things.
struct AngleForm {
  std::optional<AngleNotation> bare;
  bool decimal_comma = false;
};

/// Reads an angle from -720 to 720 degrees. Exact: a rational number of degrees, rounded once to double.
///
/// Accepted  `123-45-06.7`, `123:45:06.7`, `123 45 06.7` (all three parts);
///           marks in any of their shapes, `123°45'06.7"`, `123d45'06.7"`, `123d45m06.7s`, with blanks or
///           dashes between the parts, from any part to any later one (`45°30'`, `2"`);
///           `123.7519°`, `123.7519 deg`; `137.5021 gon`;
///           U+00BA and U+02DA for the degree sign; a sign in front for all parts. A bare 0 needs no
///           notation.
/// Refused   two parts without marks (`123-45`); minutes or seconds of 60 or more;
///           decimals before the last part; times of day;
///           quadrant and hemisphere letters, with the azimuth as the proposal.
Outcome<Angle> read_angle(std::string_view text, const AngleForm& form);

/// A reading of a circle or an azimuth typed as such: an angle from 0 to under 360 degrees; 360 and negative
/// ones are refused with the reading that they turn into, and a bare number of 360 or more with a word about
/// gon.
Outcome<Angle> read_circle(std::string_view text, const AngleForm& form);

// Writers round half away from zero; what is within 1e-9" of a tie is taken for the tie. They carry, so that
// 60 and a full circle never appear. REQUIRES finite values and 0 to 6 decimals.

/// `123-45-06.7`; `-0-30-00.0` keeps its sign, what rounds to zero has none.
std::string dms_text(Angle value, int second_decimals);
/// The same for a direction: 360-00-00 never appears.
std::string dms_text(Azimuth value, int second_decimals);
/// Decimal degrees of a direction, 0 to 9 decimals; 360 never appears.
std::string degrees_text(Azimuth value, int decimals);
std::string gon_text(Azimuth value, int decimals);
/// `5.0307` for 5-03-07.
std::string packed_text(Angle value, int second_decimals);
std::string packed_text(Azimuth value, int second_decimals);

}  // namespace deckmark
