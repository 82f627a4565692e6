#pragma once
/// How the offset sheet writes lengths: what a tape shows.

#include <string>

#include "measure/length.h"

namespace deckmark {

struct OffsetForm {
  LengthUnit unit = LengthUnit::metre;
  int denominator = 16;  ///< of an inch, in feet and inches
};

/// Smallest difference that the sheet can show: the fraction, 1 mm (m, mm, cm), 0.001 ft, 0.01 in.
Length offset_step(const OffsetForm& form);
/// The length as written: `12'-6 1/2"`, or decimals in the unit without its word. Rounded half away from
/// zero.
std::string offset_text(Length value, const OffsetForm& form);
/// What the written text means.
Length as_written(Length value, const OffsetForm& form);

}  // namespace deckmark
