#pragma once
/// The random source of the tests, and how often they repeat.

#include <cmath>
#include <cstddef>
#include <numbers>
#include <random>

namespace deckmark_test {

/// Seed 1 everywhere; the normal deviates are made here, since the library's differ between compilers.
class Noise {
 public:
  double uniform() { return (static_cast<double>(engine_() >> 11) + 0.5) * 0x1p-53; }
  double uniform(double low, double high) { return low + (high - low) * uniform(); }
  double normal() { return std::sqrt(-2 * std::log(uniform())) * std::cos(2 * std::numbers::pi * uniform()); }
  std::size_t below(std::size_t n) { return static_cast<std::size_t>(uniform() * static_cast<double>(n)); }

 private:
  std::mt19937_64 engine_{1};
};

#ifdef DECKMARK_SANITIZED
inline constexpr bool kSanitized = true;
#else
inline constexpr bool kSanitized = false;
#endif
/// What the repeats are divided by.
inline constexpr int kShare = kSanitized ? 20 : 1;
/// Sanitizer builds run a twentieth of the repeats and skip the bands.
inline std::size_t repeats(std::size_t n) { return n / kShare; }

}  // namespace deckmark_test
