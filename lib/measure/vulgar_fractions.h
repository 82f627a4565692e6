#pragma once
/// Characters that are fractions. Not for other rooms.

#include <array>

namespace deckmark {

struct VulgarFraction {
  char32_t code;
  unsigned numerator, denominator;
};

inline constexpr std::array<VulgarFraction, 18> kVulgarFractions{{{0xBC, 1, 4},
                                                                  {0xBD, 1, 2},
                                                                  {0xBE, 3, 4},
                                                                  {0x2150, 1, 7},
                                                                  {0x2151, 1, 9},
                                                                  {0x2152, 1, 10},
                                                                  {0x2153, 1, 3},
                                                                  {0x2154, 2, 3},
                                                                  {0x2155, 1, 5},
                                                                  {0x2156, 2, 5},
                                                                  {0x2157, 3, 5},
                                                                  {0x2158, 4, 5},
                                                                  {0x2159, 1, 6},
                                                                  {0x215A, 5, 6},
                                                                  {0x215B, 1, 8},
                                                                  {0x215C, 3, 8},
                                                                  {0x215D, 5, 8},
                                                                  {0x215E, 7, 8}}};

/// Nothing where the character is none.
constexpr const VulgarFraction* vulgar_fraction(char32_t code) {
  for (const VulgarFraction& f : kVulgarFractions)
    if (f.code == code) return &f;
  return nullptr;
}

}  // namespace deckmark
