#include "hanger/along.h"

#include <algorithm>

#include "measure/verdict.h"

namespace deckmark {

namespace {

/// How far p lies from `from` along a way of length 1.
Length ahead(const Point<Drawing>& from, const Vec<Drawing>& way, const Point<Drawing>& p) {
  const Vec<Drawing> by = p - from;
  return Length::metres(by.by.x.metres() * way.by.x.metres() + by.by.y.metres() * way.by.y.metres());
}

}  // namespace

Length along_of(const Path& run, const Point<Drawing>& p) {
  const Length zero = Length::metres(0), end = run.length();
  const Length along = run.nearest(p).along;
  if (run.is_closed()) return along >= end ? along - end : along;
  if (along <= zero) return std::min(zero, ahead(run.at(zero), run.direction_at(zero), p));
  if (along >= end) return end + std::max(zero, ahead(run.at(end), run.direction_at(end), p));
  return along;
}

Length along_of(std::span<const Point<Drawing>> marks, std::span<const Length> along, std::size_t near,
                const Point<Drawing>& p) {
  Length best = along[near], off = distance(marks[near], p);
  const Length window = 2.0 * off;
  std::size_t first = near, last = near;
  while (first > 0 && along[near] - along[first] <= window) --first;
  while (last + 1 < marks.size() && along[last] - along[near] <= window) ++last;
  for (std::size_t i = first; i < last; ++i) {
    const Length space = along[i + 1] - along[i];
    if (space <= kHair) continue;
    const Vec<Drawing> by = marks[i + 1] - marks[i];
    const Vec<Drawing> way{{.x = Length::metres(by.by.x / space), .y = Length::metres(by.by.y / space)}};
    Length foot = ahead(marks[i], way, p);
    // Before the first mark and behind the last the way goes on.
    if (i > 0) foot = std::max(foot, Length::metres(0));
    if (i + 2 < marks.size()) foot = std::min(foot, space);
    const Point<Drawing> at =
        marks[i] + Vec<Drawing>{{.x = foot.metres() * way.by.x, .y = foot.metres() * way.by.y}};
    if (const Length d = distance(at, p); d < off - kHair) off = d, best = along[i] + foot;
  }
  return best;
}

}  // namespace deckmark
