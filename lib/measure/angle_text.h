#pragma once
/// Text of angles: degrees-minutes-seconds in several notations, decimal degrees, gon, packed DDD.MMSSsss.

#include "measure/angle.h"
#include "measure/fault.h"

#include <optional>
#include <string>
#include <string_view>

namespace deckmark {

enum class AngleNotation { degrees, gon, packed };

/// How a bare number is read; without `bare` it is refused, since 45.3000 means two things.
struct AngleForm {
  std::optional<AngleNotation> bare;
  bool decimal_comma = false;
};

Outcome<Angle> read_angle(std::string_view text, const AngleForm& form);

/// `123-45-06.7`: carried so that 60 never appears; `-0-30-00.0` keeps its sign, what rounds to zero has none.
std::string dms_text(Angle value, int second_decimals);
/// The same for a direction: 360-00-00 never appears.
std::string dms_text(Azimuth value, int second_decimals);
std::string gon_text(Azimuth value, int decimals);
std::string packed_text(Angle value, int second_decimals);
std::string packed_text(Azimuth value, int second_decimals);

}  // namespace deckmark
