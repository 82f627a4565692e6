#pragma once
/// Decimal digits, taken eight at a time: how many a number has can hardly be guessed, and a loop would be
/// mispredicted at the end of almost each one.

#include <array>
#include <bit>
#include <cstdint>
#include <cstring>

namespace deckmark {

static_assert(std::endian::native == std::endian::little, "the first character is taken as the lowest byte");

/// What the number in front of so many more digits is multiplied by.
inline constexpr std::array<std::uint64_t, 9> kWholePowers{1,      10,      100,      1000,     10000,
                                                           100000, 1000000, 10000000, 100000000};

/// The number that eight digits make; each byte of `digits` is one, 0 to 9, the first in the lowest byte.
///
/// Method  neighbours are joined to pairs, pairs to fours, fours to eight.
inline std::uint64_t joined_digits(std::uint64_t digits) {
  const std::uint64_t pairs = digits * 10 + (digits >> 8);
  const std::uint64_t fours = (pairs & 0x000000FF000000FFU) * 0x000F424000000064U;
  const std::uint64_t rest = ((pairs >> 16) & 0x000000FF000000FFU) * 0x0000271000000001U;
  return (fours + rest) >> 32;
}

struct DigitRun {
  int count;  ///< 0 to 8
  std::uint64_t value;
};

/// The digits with which eight bytes begin, `most` (1 to 8) of them at the most. REQUIRES eight readable
/// bytes.
inline DigitRun leading_digits(const char* at, int most = 8) {
  std::uint64_t word = 0;
  std::memcpy(&word, at, 8);
  const std::uint64_t digits = word ^ 0x3030303030303030U;
  // The high bit of every byte over 9; behind the first such byte a carry may set others.
  const std::uint64_t others = (digits | (digits + 0x7676767676767676U)) & 0x8080808080808080U;
  const int found = others == 0 ? 8 : std::countr_zero(others) / 8;
  const int count = found < most ? found : most;
  return {count, count == 0 ? 0 : joined_digits(digits << (64 - 8 * count))};
}

}  // namespace deckmark
