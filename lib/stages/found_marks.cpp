#include "stages/found_marks.h"

#include <algorithm>

namespace deckmark {

namespace {

std::optional<Point<Site>> by_lengths(const FoundBy& by, const std::string& name) {
  if (!by.figure) return std::nullopt;
  const auto mark = by.net->find(name);
  if (!mark || std::ranges::count(by.figure->marks, *mark) == 0) return std::nullopt;
  return by.laid.placed.fit.site_from_drawing(by.figure->place_of(*mark));
}

}  // namespace

std::optional<FromMark> find_mark(const FoundBy& by, const std::string& name) {
  for (const NamedTie& t : by.baselines.ties)
    if (same_name(t.name, name)) return FromMark{t.name, t.tie.at};
  const MarkTable& marks = *by.laid.marks;
  if (const auto m = by.laid.marks.index->find(name)) {
    const auto found = by_lengths(by, name);
    return FromMark{std::string(marks.names[*m]), found ? *found : by.laid.placed.marks[*m]};
  }
  for (const ControlPoint& c : by.control)
    if (same_name(c.name, name)) return FromMark{c.name, c.at};
  return std::nullopt;
}

}  // namespace deckmark
