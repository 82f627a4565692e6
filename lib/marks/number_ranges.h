#pragma once
/// Numbers told in short, without naming one that is not among them.

#include <cstddef>
#include <cstdint>
#include <vector>

namespace deckmark {

/// first, first + step, ..., last, each of them.
struct NumberRange {
  std::uint32_t first = 0, last = 0, step = 1;
  std::size_t count() const { return (last - first) / step + 1; }
};

/// Each number once and no other, ascending. Two in a row are a range; with a wider step it takes three.
std::vector<NumberRange> number_ranges(std::vector<std::uint32_t> numbers);

}  // namespace deckmark
