#include "marks/check_pair.h"

#include <utility>

#include "measure/verdict.h"

namespace deckmark {

CheckPair check_pair(std::span<const Point<Site>> marks, std::span<const std::uint32_t> numbers,
                     std::span<const std::uint8_t> listed) {
  constexpr Length kShows = Length::millimetres(10);
  const auto is_listed = [&](std::size_t i) { return listed.empty() || listed[i] != 0; };
  std::optional<std::size_t> from;
  for (std::size_t i = 0; i < marks.size(); ++i)
    if (is_listed(i) && (!from || numbers[i] < numbers[*from])) from = i;
  // The mark at which a measure is largest, of equals the one with the lowest number.
  const auto most = [&](const auto& measure) {
    std::size_t at = *from;
    Length best = Length::metres(0);
    for (std::size_t i = 0; i < marks.size(); ++i) {
      if (!is_listed(i)) continue;
      const Length value = measure(marks[i] - marks[*from]);
      if (value > best + kHair || (at != *from && value > best - kHair && numbers[i] < numbers[at]))
        best = value, at = i;
    }
    return std::pair(best, at);
  };
  // Exchanged, the difference (n, e) is (e, n): both ends move by the difference of the two, in both axes.
  const auto [shown, telling] = most([](const Vec<Site>& by) { return abs(by.by.northing - by.by.easting); });
  if (shown > kShows) return {*from, telling, true};
  return {*from, most([](const Vec<Site>& by) { return norm(by); }).second, false};
}

}  // namespace deckmark
