#include "baseline/corner_size.h"

#include <algorithm>
#include <cmath>

namespace deckmark {

namespace {

/// What the sd of a corner is proportional to, one over metres.
double spread(const Legs& l) { return std::hypot(1 / l.x.metres(), 1 / l.y.metres()); }

/// The least legs whose spread is no more than that, none smaller than the present; nothing where the floor
/// ends before.
std::optional<Legs> grown(const Legs& legs, double most, const Legs& floor) {
  if (spread(floor) > most) return std::nullopt;
  const double by = std::max(1.0, spread(legs) / most);
  const auto other = [&](Length at) {
    const double rest = most * most - 1 / (at.metres() * at.metres());
    return Length::metres(1 / std::sqrt(rest));
  };
  Legs out{legs.x * by, legs.y * by};
  if (out.x > floor.x) out = {floor.x, std::min(floor.y, other(floor.x))};
  if (out.y > floor.y) out = {std::min(floor.x, other(floor.y)), floor.y};
  return out;
}

}  // namespace

LargerCorner larger_corner(CornerFigure present, const Legs& legs, double times, const Legs& floor) {
  const double now = spread(legs), better = present == CornerFigure::triangle ? std::sqrt(2.0) : 1;
  if (const auto same = grown(legs, now / times, floor)) return {present, *same, true, now / spread(*same)};
  if (const auto full = grown(legs, now / times * better, floor))
    return {CornerFigure::rectangle, *full, true, better * now / spread(*full)};
  return {CornerFigure::rectangle, floor, false, better * now / spread(floor)};
}

}  // namespace deckmark
