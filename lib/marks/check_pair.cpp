#include "marks/check_pair.h"

#include "measure/verdict.h"

namespace deckmark {

CheckPair check_pair(std::span<const Point<Site>> marks, std::span<const std::uint32_t> numbers, std::span<const std::uint8_t> listed) {
  constexpr Length kShows = Length::millimetres(10);
  const auto is_listed = [&](std::size_t i) { return listed.empty() || listed[i] != 0; };
  std::optional<std::size_t> from;
  for (std::size_t i = 0; i < marks.size(); ++i)
    if (is_listed(i) && (!from || numbers[i] < numbers[*from])) from = i;
  std::size_t telling = *from, far = *from;
  Length shown = Length::metres(0), reach = Length::metres(0);
  const auto better = [&](Length value, Length best, std::size_t i, std::size_t at) { return value > best + kHair || (at != *from && value > best - kHair && numbers[i] < numbers[at]); };
  for (std::size_t i = 0; i < marks.size(); ++i) {
    if (!is_listed(i)) continue;
    const Vec<Site> by = marks[i] - marks[*from];
    if (const Length d = abs(by.by.northing - by.by.easting); better(d, shown, i, telling)) shown = d, telling = i;
    if (const Length d = norm(by); better(d, reach, i, far)) reach = d, far = i;
  }
  // Exchanged, the difference (n, e) is (e, n): both ends move by the difference of the two, in both axes.
  const bool shows = shown > kShows;
  return {*from, shows ? telling : far, shows};
}

}  // namespace deckmark
