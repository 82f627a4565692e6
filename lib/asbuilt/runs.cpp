#include "asbuilt/runs.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <unordered_map>

namespace deckmark {

namespace {

constexpr Length kStraight = Length::millimetres(1);
constexpr std::size_t kNoRow = static_cast<std::size_t>(-1);

struct Direction {
  double north = 0, east = 0;
  bool known() const { return north != 0 || east != 0; }
  double along(const Vec<Site>& v) const {
    return v.by.northing.metres() * north + v.by.easting.metres() * east;
  }
  /// To the right of one who looks along it.
  double across(const Vec<Site>& v) const {
    return v.by.easting.metres() * north - v.by.northing.metres() * east;
  }
};

Direction direction(const Point<Site>& from, const Point<Site>& to) {
  const Vec<Site> v = to - from;
  const double size = norm(v).metres();
  if (size <= kHair.metres()) return {};
  return {v.by.northing.metres() / size, v.by.easting.metres() / size};
}

bool is_straight(std::span<const std::uint32_t> points, std::span<const Point<Site>> site) {
  const Direction d = direction(site[points.front()], site[points.back()]);
  if (!d.known()) return false;
  return std::ranges::all_of(points, [&](std::uint32_t m) {
    return std::abs(d.across(site[m] - site[points.front()])) <= kStraight.metres();
  });
}

/// A shot along and across the design's direction, in metres.
struct Spot {
  double along, across;
};

/// Line of least squared distances: through its middle, turned clockwise against the design's direction.
struct FittedLine {
  Spot middle{0, 0};
  double turned = 0;
  /// To the right of one who looks along it.
  double off(const Spot& p) const {
    return (p.across - middle.across) * std::cos(turned) - (p.along - middle.along) * std::sin(turned);
  }
};

/// `left_out`: the place of a shot that takes no part, or past the end.
FittedLine fit_line(std::span<const Spot> spots, std::size_t left_out) {
  const auto n = static_cast<double>(spots.size() - (left_out < spots.size() ? 1 : 0));
  FittedLine out;
  for (std::size_t k = 0; k < spots.size(); ++k)
    if (k != left_out) out.middle.along += spots[k].along / n, out.middle.across += spots[k].across / n;
  double aa = 0, ac = 0, cc = 0;
  for (std::size_t k = 0; k < spots.size(); ++k) {
    if (k == left_out) continue;
    const double a = spots[k].along - out.middle.along, c = spots[k].across - out.middle.across;
    aa += a * a, ac += a * c, cc += c * c;
  }
  out.turned = 0.5 * std::atan2(2 * ac, aa - cc);
  return out;
}

/// The shots against their line; the design's direction says which way it looks.
RunLine line_through(std::span<const AsbuiltRow> rows, std::span<const std::size_t> shots,
                     const Direction& design) {
  std::vector<Spot> spots;
  for (const std::size_t i : shots) {
    const Vec<Site> v = rows[i].at - rows[shots.front()].at;
    spots.push_back({design.along(v), design.across(v)});
  }
  const FittedLine line = fit_line(spots, spots.size());
  RunLine out;
  out.shots = shots.size();
  out.turned = Angle::radians(line.turned);
  double squares = 0;
  std::size_t worst = 0;
  for (std::size_t k = 0; k < spots.size(); ++k) {
    squares += line.off(spots[k]) * line.off(spots[k]);
    if (std::abs(line.off(spots[k])) > std::abs(line.off(spots[worst]))) worst = k;
  }
  out.rms = Length::metres(std::sqrt(squares / static_cast<double>(shots.size())));
  out.worst_row = shots[worst];
  out.worst = Length::metres(fit_line(spots, worst).off(spots[worst]));
  return out;
}

}  // namespace

RunsResult look_along_runs(std::span<AsbuiltRow> rows, const MarkTable& marks,
                           std::span<const Point<Site>> site) {
  RunsResult out;
  // Only runs that a shot touches; their points in the order of the drawing.
  std::vector<std::uint8_t> touched(marks.runs.words().size(), 0);
  std::unordered_map<std::uint32_t, std::array<std::size_t, 3>> row_of;
  for (std::size_t i = 0; i < rows.size(); ++i) {
    const std::uint32_t run = marks.runs.number(rows[i].mark);
    if (run == 0) continue;
    touched[run] = 1;
    auto& of_levels =
        row_of.try_emplace(rows[i].mark, std::array<std::size_t, 3>{kNoRow, kNoRow, kNoRow}).first->second;
    std::size_t& of_level = of_levels[static_cast<std::size_t>(rows[i].level)];
    if (of_level == kNoRow) of_level = i;
  }
  std::map<std::uint32_t, std::vector<std::uint32_t>> points;
  if (!row_of.empty())
    for (std::uint32_t m = 0; m < marks.size(); ++m)
      if (const std::uint32_t run = marks.runs.number(m); run != 0 && touched[run] && !marks.is_reference(m))
        points[run].push_back(m);

  std::unordered_map<std::uint32_t, Direction> ways;
  for (const auto& [run, members] : points) {
    for (std::size_t k = 0; k < members.size(); ++k) {
      const std::size_t before = k == 0 ? 0 : k - 1, after = std::min(k + 1, members.size() - 1);
      ways[members[k]] = direction(site[members[before]], site[members[after]]);
    }
    const bool straight = members.size() > 1 && is_straight(members, site);
    for (std::size_t level = 0; level < 3; ++level) {
      std::vector<std::size_t> shots;
      std::size_t last = kNoRow;
      for (const std::uint32_t m : members) {
        const auto at = row_of.find(m);
        const std::size_t row = at == row_of.end() ? kNoRow : at->second[level];
        if (row != kNoRow) shots.push_back(row);
        if (row != kNoRow && last != kNoRow)
          out.spaces.push_back({last, row, distance(rows[last].design, rows[row].design),
                                distance(rows[last].at, rows[row].at)});
        last = row;
      }
      if (!straight || shots.size() < 3) continue;
      RunLine line = line_through(rows, shots, direction(site[members.front()], site[members.back()]));
      line.run = run;
      line.level = static_cast<AsbuiltLevel>(level);
      out.lines.push_back(line);
    }
  }
  for (AsbuiltRow& r : rows) {
    const auto way = ways.find(r.mark);
    if (way == ways.end() || !way->second.known()) continue;
    const Vec<Site> off = r.at - r.design;
    r.along = Length::metres(way->second.along(off));
    r.across = Length::metres(way->second.across(off));
  }
  return out;
}

}  // namespace deckmark
