#include "shape/families.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <optional>

namespace deckmark::shape_detail {

namespace {

constexpr double kSameWay = 0.002;         // radians between neighbours of one family
constexpr std::size_t kMostLooked = 1000;  // points of one run in one place hide no other run for long
constexpr std::size_t kMostFamilies = 8;   // that a short run is held against

struct Way {
  double angle, length;  // angle in [0, pi)
  std::uint32_t seen;
};

bool is_line(const Seen& s) { return s.shape.kind == RunShape::Kind::line; }

double length_of(const Seen& s) { return size(s.points[s.points.size() - 1] - s.points[0]); }

std::vector<Way> ways_of(std::span<const Seen> runs) {
  std::vector<Way> out;
  for (std::uint32_t i = 0; i < runs.size(); ++i) {
    const Seen& s = runs[i];
    const bool is_pair = s.points.size() == 2;
    if (!is_line(s) && !is_pair) continue;
    const double length = length_of(s);
    if (length < 0.1) continue;
    const Plan way = is_pair ? s.points[1] - s.points[0] : s.shape.way;
    double angle = std::atan2(way.y, way.x);
    if (angle < 0) angle += std::numbers::pi;
    if (angle >= std::numbers::pi - kSameWay / 2) angle -= std::numbers::pi;
    out.push_back({angle, length, i});
  }
  std::sort(out.begin(), out.end(), [](const Way& a, const Way& b) {
    return a.angle != b.angle ? a.angle < b.angle : a.seen < b.seen;
  });
  return out;
}

/// How far a run's ends stand apart across a direction.
double spread(const Seen& s, Plan way) { return cross(way, s.points[s.points.size() - 1] - s.points[0]); }

/// The family of ways [from, to), where it has two members that keep to its direction.
std::optional<Family> family_of(std::span<const Way> ways, std::span<const Seen> runs, double tolerance) {
  if (ways.size() < 2) return std::nullopt;
  Plan sum{};
  for (const Way& w : ways)
    sum = sum + (w.length * w.length) * Plan{std::cos(2 * w.angle), std::sin(2 * w.angle)};
  const double angle = std::atan2(sum.y, sum.x) / 2;
  Family f{{}, {std::cos(angle), std::sin(angle)}, {}, {}, {}};
  if (f.way.x < -1e-9 || (std::abs(f.way.x) <= 1e-9 && f.way.y < 0)) f.way = -1 * f.way;
  for (const Way& w : ways) {
    const Seen& s = runs[w.seen];
    const bool keeps = is_line(s) ? std::abs(cross(f.way, s.shape.way)) * w.length <= 2 * tolerance
                                  : std::abs(spread(s, f.way)) <= 2 * tolerance;
    if (keeps) f.members.push_back(w.seen);
  }
  if (f.members.size() < 2) return std::nullopt;
  return f;
}

/// A run of two points along the family, or the pair of a run of three that lies along it.
bool joins(Seen& s, const Family& f, double tolerance) {
  const std::size_t n = s.points.size();
  const auto aligned = [&](std::size_t i, std::size_t j) {
    return std::abs(cross(f.way, s.points[j] - s.points[i])) <= 2 * tolerance &&
           std::abs(dot(f.way, s.points[j] - s.points[i])) >= 0.1;
  };
  RunShape shape;
  shape.kind = RunShape::Kind::line;
  shape.way = f.way;
  if (n == 2) {
    if (!aligned(0, 1)) return false;
    shape.at = 0.5 * (s.points[0] + s.points[1]);
    if (dot(s.points[1] - s.points[0], shape.way) < 0) shape.way = -1 * shape.way;
    s.shape = shape;
    return true;
  }
  int found = -1;
  for (int k = 0; k < 3; ++k) {
    const auto i = static_cast<std::size_t>(k == 0 ? 1 : 0), j = static_cast<std::size_t>(k == 2 ? 1 : 2);
    if (!aligned(i, j)) continue;
    if (found >= 0) return false;
    found = k;
    shape.at = 0.5 * (s.points[i] + s.points[j]);
    if (dot(s.points[j] - s.points[i], shape.way) < 0) shape.way = -1 * shape.way;
  }
  if (found < 0) return false;
  shape.off = {static_cast<std::uint32_t>(found)};
  shape.is_weak = true;
  s.shape = shape;
  return true;
}

/// Whether stations of other runs are asked for: some run has no pattern of its own, or begins where no other
/// does. Most long drawings need none, and their points are not sorted.
bool asks_stations(const Family& f, std::span<const Seen> runs, double tolerance, bool takes_loose) {
  std::vector<double> begins;
  for (const std::uint32_t m : f.members) {
    const Seen& s = runs[m];
    if (s.is_stated) continue;
    if (s.points.size() < 3 || s.even.kind != Evenness::Kind::even || !s.even.odd.empty()) return true;
    begins.push_back(f.along(s.points[0]));
  }
  std::sort(begins.begin(), begins.end());
  for (std::size_t i = 0; i < begins.size(); ++i) {
    const bool before = i > 0 && begins[i] - begins[i - 1] <= tolerance,
               after = i + 1 < begins.size() && begins[i + 1] - begins[i] <= tolerance;
    if (!before && !after) return true;
  }
  return takes_loose &&
         std::any_of(runs.begin(), runs.end(), [](const Seen& s) { return s.points.size() == 1; });
}

}  // namespace

bool find_stations(Family& f, std::span<const Seen> runs, double tolerance, bool takes_single) {
  if (!asks_stations(f, runs, tolerance, takes_single)) return false;
  for (const std::uint32_t m : f.members) {
    const Seen& s = runs[m];
    if (s.is_stated) continue;
    for (std::uint32_t k = 0; k < s.points.size(); ++k)
      if (!s.shape.is_off(k)) f.stations.push_back({f.along(s.points[k]), m});
  }
  std::sort(f.stations.begin(), f.stations.end(),
            [](const Station& a, const Station& b) { return a.at != b.at ? a.at < b.at : a.seen < b.seen; });
  for (std::size_t i = 0; i + 1 < f.stations.size();) {
    std::size_t end = i + 1;
    double sum = f.stations[i].at;
    while (end < f.stations.size() && f.stations[end].at - f.stations[end - 1].at <= tolerance / 2)
      sum += f.stations[end++].at;
    if (end - i >= 2) f.common.push_back(sum / static_cast<double>(end - i));
    i = end;
  }
  return true;
}

std::size_t Family::shared(double station, std::uint32_t by, double tolerance) const {
  const auto from = std::lower_bound(stations.begin(), stations.end(), station - tolerance,
                                     [](const Station& s, double at) { return s.at < at; });
  std::size_t count = 0, looked = 0;
  for (auto i = from; i != stations.end() && i->at <= station + tolerance && count < 3; ++i) {
    count += i->seen != by;
    if (++looked == kMostLooked) break;
  }
  return count;
}

std::size_t Family::ends_of_others(std::span<const Seen> runs, double station, std::uint32_t by,
                                   double tolerance) const {
  const auto from = std::lower_bound(stations.begin(), stations.end(), station - tolerance,
                                     [](const Station& s, double at) { return s.at < at; });
  std::size_t count = 0, looked = 0;
  for (auto i = from; i != stations.end() && i->at <= station + tolerance; ++i) {
    const RunPoints& points = runs[i->seen].points;
    const auto is_here = [&](std::size_t k) { return std::abs(along(points[k]) - station) <= tolerance; };
    count += i->seen != by && (is_here(0) || is_here(points.size() - 1));
    if (++looked == kMostLooked) break;
  }
  return count;
}

std::vector<Family> families_of(std::span<Seen> runs, double tolerance) {
  const std::vector<Way> ways = ways_of(runs);
  std::vector<Family> out;
  for (std::size_t from = 0; from < ways.size();) {
    std::size_t to = from + 1;
    while (to < ways.size() && ways[to].angle - ways[to - 1].angle <= kSameWay) ++to;
    if (auto f = family_of({ways.data() + from, to - from}, runs, tolerance)) out.push_back(*std::move(f));
    from = to;
  }
  std::stable_sort(out.begin(), out.end(),
                   [](const Family& a, const Family& b) { return a.members.size() > b.members.size(); });
  for (std::uint32_t i = 0; i < out.size(); ++i)
    for (const std::uint32_t m : out[i].members) {
      runs[m].family = i;
      if (runs[m].points.size() == 2) joins(runs[m], out[i], tolerance);
    }
  for (std::uint32_t m = 0; m < runs.size(); ++m) {
    const std::size_t n = runs[m].points.size();
    if (runs[m].family || (n != 2 && (n != 3 || is_line(runs[m])))) continue;
    for (std::uint32_t i = 0; i < std::min(out.size(), kMostFamilies) && !runs[m].family; ++i)
      if (joins(runs[m], out[i], tolerance)) runs[m].family = i, out[i].members.push_back(m);
  }
  for (Family& f : out) {
    std::sort(f.members.begin(), f.members.end());
    f.origin = runs[f.members.front()].points[0];
  }
  return out;
}

}  // namespace deckmark::shape_detail
