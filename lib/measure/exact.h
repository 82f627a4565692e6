#pragma once
/// Sums of exact rational terms, rounded once to double. Not for other rooms.

#include <cstdint>
#include <span>
#include <string_view>

namespace deckmark::exact {

/// `digits` times 10^exponent times numerator / denominator.
struct Term {
  std::string_view digits;  ///< 0 to 9 alone, at least one, at most kMostDigits
  int exponent = 0;
  std::uint64_t numerator = 1;
  std::uint64_t denominator = 1;  ///< not zero
};

inline constexpr std::size_t kMostDigits = 400;

enum class Size : std::uint8_t { fits, too_large, too_small };

struct Rounded {
  double value = 0;
  Size size = Size::fits;
};

/// The double nearest to the sum (ties to even). Above 1e300 it is too_large, below 1e-300 but not zero
/// too_small; exponents of any size cost nothing, since the range is judged before a power is built.
Rounded nearest(std::span<const Term> terms);

}  // namespace deckmark::exact
