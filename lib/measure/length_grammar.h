#pragma once
/// The general reader of lengths: every notation and every fault, by tokens and exact arithmetic. Not for
/// other rooms.

#include "measure/length_text.h"

namespace deckmark::length_grammar {

/// Metres; beyond it a length is a slip of the pen, and 0.01 mm could no longer be told.
inline constexpr double kLongest = 1e9;

Outcome<LengthReading> read(std::string_view text, const LengthForm& form);

}  // namespace deckmark::length_grammar
