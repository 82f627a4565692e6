#include "issues/control.h"

#include <algorithm>
#include <map>

#include "measure/letters.h"

namespace deckmark {

namespace {

Kept less(Kept a, Kept b) {
  return a.is_none() || b.is_none() ? Kept::none() : Kept::micrometres(a.micrometres() - b.micrometres());
}

bool is_beyond(Kept a, Kept b) {
  const Kept by = less(a, b);
  return !by.is_none() && std::abs(by.micrometres()) > kControlMoves;
}

bool is_beyond(Kept north, Kept east, Kept up) {
  const Kept zero = Kept::micrometres(0);
  if (is_beyond(north, zero) || is_beyond(east, zero) || is_beyond(up, zero)) return true;
  const std::int64_t n = north.micrometres(), e = east.micrometres();
  return n * n + e * e > kControlMoves * kControlMoves;
}

ControlMove move_of(const KeptControl& from, const KeptControl& to) {
  ControlMove m;
  m.north = less(to.at.northing, from.at.northing);
  m.east = less(to.at.easting, from.at.easting);
  m.up = less(to.elevation, from.elevation);
  return m;
}

bool has_moved(const ControlMove& m) { return is_beyond(m.north, m.east, m.up); }

/// Where a point lay according to its rows: the place that was told last.
void take(std::optional<KeptControl>& place, const KeptControl& row) {
  const bool moved = !place || has_moved(move_of(*place, row));
  const Kept height = place ? place->elevation : Kept::none();
  if (moved) place = row;
  if (place->elevation.is_none()) place->elevation = height.is_none() ? row.elevation : height;
}

template <class Get>
Kept middle(std::span<const ControlMove> moves, Get get) {
  std::vector<std::int64_t> all;
  for (const ControlMove& m : moves)
    if (!get(m).is_none()) all.push_back(get(m).micrometres());
  if (all.empty()) return Kept::none();
  const auto mid = all.begin() + static_cast<std::ptrdiff_t>(all.size() / 2);
  std::ranges::nth_element(all, mid);
  return Kept::micrometres(*mid);
}

}  // namespace

bool ControlMove::is_alike(const ControlMove& other) const {
  return !is_beyond(less(north, other.north), less(east, other.east), less(up, other.up));
}

std::vector<IssuedControl> control_to_add(std::span<const IssuedControl> kept,
                                          std::span<const KeptControl> now, std::uint32_t issue) {
  std::map<std::string, const KeptControl*> last;
  for (const IssuedControl& row : kept) last[small_letters(row.control.point)] = &row.control;
  std::vector<IssuedControl> out;
  for (const KeptControl& c : now) {
    const auto before = last.find(small_letters(c.point));
    if (before == last.end() || !(before->second->at == c.at) || !(before->second->elevation == c.elevation))
      out.push_back({issue, c});
  }
  return out;
}

ControlMoves control_moves(std::span<const KeptControl> kept, std::span<const KeptControl> now) {
  std::map<std::string, const KeptControl*> before;
  for (const KeptControl& c : kept) before[small_letters(c.point)] = &c;
  ControlMoves out;
  for (std::size_t i = 0; i < now.size(); ++i) {
    const auto there = before.find(small_letters(now[i].point));
    if (there == before.end()) continue;
    ++out.compared;
    ControlMove m = move_of(*there->second, now[i]);
    m.point = static_cast<std::uint32_t>(i);
    if (has_moved(m)) out.moved.push_back(m);
  }
  return out;
}

ControlMoves control_moves(std::span<const IssuedControl> kept, std::span<const KeptControl> now,
                           std::uint32_t current, std::uint32_t last) {
  struct Lay {
    std::optional<KeptControl> before, in_current;
  };
  std::map<std::string, Lay> lay;
  for (const IssuedControl& row : kept) {
    Lay& point = lay[small_letters(row.control.point)];
    if (row.issue < current)
      take(point.before, row.control);
    else
      point.in_current = row.control;
  }
  ControlMoves out;
  for (std::size_t i = 0; i < now.size(); ++i) {
    const auto there = lay.find(small_letters(now[i].point));
    if (there == lay.end()) continue;
    const Lay& point = there->second;
    const bool left_current = point.in_current && has_moved(move_of(*point.in_current, now[i]));
    const auto& from = left_current ? point.in_current : point.before;
    if (!from) continue;
    ++out.compared;
    ControlMove m = move_of(*from, now[i]);
    m.point = static_cast<std::uint32_t>(i);
    m.since = point.in_current && !left_current ? current - 1 : std::min(current, last);
    if (has_moved(m)) out.moved.push_back(m);
  }
  return out;
}

std::optional<ControlMove> common_move(const ControlMoves& moves) {
  const std::span<const ControlMove> all = moves.moved;
  const auto are_most = [&](std::size_t n) { return n >= 2 && n * 2 > moves.compared; };
  if (!are_most(all.size())) return std::nullopt;
  ControlMove common = all.front();
  common.north = middle(all, [](const ControlMove& m) { return m.north; });
  common.east = middle(all, [](const ControlMove& m) { return m.east; });
  common.up = middle(all, [](const ControlMove& m) { return m.up; });
  const auto alike = std::ranges::count_if(all, [&](const ControlMove& m) { return m.is_alike(common); });
  if (!are_most(static_cast<std::size_t>(alike))) return std::nullopt;
  return common;
}

}  // namespace deckmark
