#pragma once
/// Fixed-decimal output and plain number input; the locale is never consulted.

#include <cstdint>
#include <string>
#include <string_view>

#include "measure/fault.h"

namespace deckmark {

/// Longest text that `write_fixed` makes.
inline constexpr int kFixedMax = 340;

/// Writes `value` with `decimals` (0 to 12) places at `out`, returns the end. Rounds half away from zero on
/// the binary value; never an exponent, never minus zero. REQUIRES a finite value and kFixedMax bytes at
/// `out`.
char* write_fixed(char* out, double value, int decimals);
char* write_integer(char* out, std::int64_t value);
std::string fixed(double value, int decimals);

/// A plain number as read; `coarse` as in LengthReading.
struct NumberReading {
  double value = 0;
  bool coarse = false;
};
/// A plain number (digits, point or, where allowed, decimal comma, exponent); no unit, no hexadecimal, no
/// nan.
Outcome<NumberReading> read_number(std::string_view text, bool decimal_comma);
/// A whole number from `least` to `most`, digits alone.
Outcome<std::int64_t> read_count(std::string_view text, std::int64_t least, std::int64_t most);

}  // namespace deckmark
