#include "hanger/crossings.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "measure/verdict.h"

namespace deckmark {

namespace {

constexpr double kDegree = std::numbers::pi / 180;

/// Angle between two ways, 0 to 180 degrees.
double between(const Vec<Drawing>& a, const Vec<Drawing>& b) {
  const double ax = a.by.x.metres(), ay = a.by.y.metres(), bx = b.by.x.metres(), by = b.by.y.metres();
  return std::atan2(std::abs(ax * by - ay * bx), ax * bx + ay * by) / kDegree;
}

bool ends_at(const Path& run, Length along) {
  return !run.is_closed() && (along <= kRunJoin || run.length() - along <= kRunJoin);
}

/// The way in which a run leaves a place near one of its ends.
Vec<Drawing> leaving(const Path& run, Length along) {
  const Vec<Drawing> way = run.direction_at(along);
  if (along <= kRunJoin) return way;
  return {{.x = -way.by.x, .y = -way.by.y}};
}

/// The box round a run, for pairs that are far apart.
struct Box {
  Length low_x, high_x, low_y, high_y;
};
Box box_of(const Path& run) {
  if (const auto r = run.radius()) {
    const Point<Drawing> c = *run.centre();
    return {c.at.x - *r, c.at.x + *r, c.at.y - *r, c.at.y + *r};
  }
  const Point<Drawing> a = run.at(Length::metres(0)), b = run.at(run.length());
  return {std::min(a.at.x, b.at.x), std::max(a.at.x, b.at.x), std::min(a.at.y, b.at.y),
          std::max(a.at.y, b.at.y)};
}
bool apart(const Box& a, const Box& b) {
  return a.high_x < b.low_x - kRunJoin || b.high_x < a.low_x - kRunJoin || a.high_y < b.low_y - kRunJoin ||
         b.high_y < a.low_y - kRunJoin;
}

}  // namespace

std::optional<Length> corner_allowance(Angle included, Length separation) {
  const double half = included.degrees() * kDegree / 2;
  if (std::tan(half) < 1e-6) return std::nullopt;
  return separation / 2.0 / std::tan(half);
}

CrossingsResult find_crossings(std::span<const Path> runs) {
  CrossingsResult out;
  std::vector<Box> boxes;
  for (const Path& r : runs) boxes.push_back(box_of(r));
  for (std::size_t i = 0; i < runs.size(); ++i)
    for (std::size_t j = i + 1; j < runs.size(); ++j) {
      if (apart(boxes[i], boxes[j])) continue;
      const Meetings met = meetings(runs[i], runs[j], kRunJoin);
      if (met.overlap) out.overlaps.emplace_back(i, j);
      for (const Meeting& m : met.places) {
        const bool corner = ends_at(runs[i], m.along_first) && ends_at(runs[j], m.along_second);
        double angle =
            corner ? between(leaving(runs[i], m.along_first), leaving(runs[j], m.along_second))
                   : between(runs[i].direction_at(m.along_first), runs[j].direction_at(m.along_second));
        if (!corner) angle = std::min(angle, 180 - angle);
        out.places.push_back({i, j, m.at, m.along_first, m.along_second, Angle::degrees(angle),
                              corner ? std::optional(Angle::degrees(angle / 2)) : std::nullopt});
      }
    }
  return out;
}

}  // namespace deckmark
