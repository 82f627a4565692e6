#include "marks/number_ranges.h"

#include <algorithm>

namespace deckmark {

std::vector<NumberRange> number_ranges(std::vector<std::uint32_t> numbers) {
  if (!std::ranges::is_sorted(numbers)) std::ranges::sort(numbers);
  numbers.erase(std::unique(numbers.begin(), numbers.end()), numbers.end());
  std::vector<NumberRange> out;
  for (std::size_t i = 0; i < numbers.size();) {
    std::size_t end = i + 1;
    const std::uint32_t step = end < numbers.size() ? numbers[end] - numbers[i] : 1;
    while (end < numbers.size() && numbers[end] - numbers[end - 1] == step) ++end;
    if (step > 1 && end - i < 3) end = i + 1;
    out.push_back({numbers[i], numbers[end - 1], end - i > 1 ? step : 1});
    i = end;
  }
  return out;
}

}  // namespace deckmark
