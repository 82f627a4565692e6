#include "marks/check_pair.h"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

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

std::optional<ChangedPair> changed_pair(std::span<const Point<Site>> marks,
                                        std::span<const std::uint32_t> numbers,
                                        std::span<const MarkThen> then) {
  if (then.size() < 2) return std::nullopt;
  // What all did alike changes no distance: a pair's changes by no more than both moved beside that.
  double north = 0, east = 0;
  for (const MarkThen& t : then) {
    const Vec<Site> by = marks[t.mark] - t.then;
    north += by.by.northing.metres() / static_cast<double>(then.size());
    east += by.by.easting.metres() / static_cast<double>(then.size());
  }
  struct Moved {
    std::size_t at;
    double by;
  };
  std::vector<Moved> moved;
  moved.reserve(then.size());
  for (std::size_t i = 0; i < then.size(); ++i) {
    const Vec<Site> by = marks[then[i].mark] - then[i].then;
    moved.push_back({i, std::hypot(by.by.northing.metres() - north, by.by.easting.metres() - east)});
  }
  std::stable_sort(moved.begin(), moved.end(), [](const Moved& a, const Moved& b) { return a.by > b.by; });
  constexpr std::size_t kMostPairs = 4'000'000;
  std::size_t looked = 0;
  double best = kPairChanged.metres();
  std::optional<ChangedPair> out;
  for (std::size_t i = 0; i < moved.size() && 2 * moved[i].by > best && looked < kMostPairs; ++i)
    for (std::size_t j = i + 1; j < moved.size() && moved[i].by + moved[j].by > best && looked < kMostPairs;
         ++j) {
      ++looked;
      const MarkThen &a = then[moved[i].at], &b = then[moved[j].at];
      const Length before = distance(a.then, b.then);
      const double change = std::abs((distance(marks[a.mark], marks[b.mark]) - before).metres());
      if (change <= best) continue;
      best = change;
      const bool in_order = numbers[a.mark] < numbers[b.mark];
      out = ChangedPair{in_order ? a.mark : b.mark, in_order ? b.mark : a.mark, before};
    }
  return out;
}

}  // namespace deckmark
