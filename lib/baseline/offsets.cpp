#include "baseline/offsets.h"

#include <cmath>
#include <unordered_map>

namespace deckmark {

namespace {

constexpr Angle kWeakCrossing = Angle::degrees(30);
constexpr double kOnLine = 1e-9;  // metres off the line

}  // namespace

std::string_view side_word(Side side) {
  return side == Side::left ? "left" : side == Side::right ? "right" : "on line";
}

SwingTie swing_tie(const Point<Site>& first, const Point<Site>& second, const Point<Site>& point) {
  const Vec<Site> line = second - first, to_first = first - point, to_second = second - point;
  const double along_n = line.by.northing.metres(), along_e = line.by.easting.metres();
  const double a_n = to_first.by.northing.metres(), a_e = to_first.by.easting.metres();
  const double b_n = to_second.by.northing.metres(), b_e = to_second.by.easting.metres();
  // Positive to the left of the line: facing north, west is left.
  const double left = (along_n * a_e - along_e * a_n) / norm(line).metres();
  SwingTie out{norm(to_first), norm(to_second), Side::on_line, Angle::degrees(0), false};
  if (std::abs(left) > kOnLine) out.side = left > 0 ? Side::left : Side::right;
  out.crossing = Angle::radians(std::atan2(std::abs(a_n * b_e - a_e * b_n), std::abs(a_n * b_n + a_e * b_e)));
  out.weak = out.crossing < kWeakCrossing;
  return out;
}

std::vector<std::optional<Length>> running_distances(std::span<const Point<Drawing>> points,
                                                     std::span<const std::uint32_t> runs) {
  struct Last {
    std::size_t index;
    Length along;
  };
  std::unordered_map<std::uint32_t, Last> last;
  std::vector<std::optional<Length>> out(points.size());
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (runs[i] == 0) continue;
    const auto [it, is_first] = last.try_emplace(runs[i], Last{i, Length::metres(0)});
    if (!is_first) it->second = {i, it->second.along + distance(points[it->second.index], points[i])};
    out[i] = it->second.along;
  }
  return out;
}

}  // namespace deckmark
