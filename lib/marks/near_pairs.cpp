#include "marks/near_pairs.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <GeographicLib/NearestNeighbor.hpp>
#include <tuple>
#include <utility>

#include "measure/extent.h"
#include "measure/verdict.h"
#include "table/big_vector.h"

namespace deckmark {

namespace {

/// Points a part: with its chains it stays in a core's own memory.
constexpr std::size_t kPartPoints = 2048;

std::uint64_t whole(double v) {
  constexpr double kMost = 9e18;
  return static_cast<std::uint64_t>(static_cast<std::int64_t>(std::clamp(v, -kMost, kMost)));
}

/// One number of a square of the plan; squares of one row follow one another, rows are spread.
std::uint64_t square(double column, double row) { return whole(column) + whole(row) * 0x9E3779B97F4A7C15ULL; }

struct Entry {
  double x, y;
  std::uint32_t index;
  bool own;  ///< false: it lies in another tile, near this one's edge
};

/// The points by tiles, squares of the plan that many tiles share a part; each part in the order of the
/// points.
class Parts {
 public:
  Parts(std::span<const Point<Drawing>> points, double limit) : limit_(limit) {
    double west = 0, east = 0, south = 0, north = 0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double x = points[i].at.x.metres(), y = points[i].at.y.metres();
      west = i == 0 ? x : std::min(west, x);
      east = i == 0 ? x : std::max(east, x);
      south = i == 0 ? y : std::min(south, y);
      north = i == 0 ? y : std::max(north, y);
    }
    const std::size_t parts = std::bit_ceil(points.size() / kPartPoints + 1);
    mask_ = parts - 1;
    side_ = std::max(std::sqrt((east - west) * (north - south) / static_cast<double>(parts)), 40 * limit);
    begins_.assign(parts + 1, 0);
    for (const Point<Drawing>& p : points) for_tiles(p, [&](std::size_t part, bool) { ++begins_[part + 1]; });
    for (std::size_t p = 0; p < parts; ++p) begins_[p + 1] += begins_[p];
    entries_.resize(begins_.back());
    std::vector<std::size_t> at(begins_.begin(), begins_.end() - 1);
    for (std::uint32_t i = 0; i < points.size(); ++i)
      for_tiles(points[i], [&](std::size_t part, bool own) {
        entries_[at[part]++] = {points[i].at.x.metres(), points[i].at.y.metres(), i, own};
      });
  }
  std::size_t size() const { return mask_ + 1; }
  std::span<const Entry> operator[](std::size_t part) const {
    return std::span(entries_).subspan(begins_[part], begins_[part + 1] - begins_[part]);
  }

 private:
  /// The part of a point's tile, and of tiles that it is near to; a part may be named twice.
  template <class Take>
  void for_tiles(const Point<Drawing>& p, const Take& take) const {
    const double x = p.at.x.metres() / side_, y = p.at.y.metres() / side_, edge = limit_ / side_;
    const double column = std::floor(x), row = std::floor(y);
    take(part(column, row), true);
    const double beside = x - column < edge       ? -1
                          : column + 1 - x < edge ? 1
                                                  : 0,
                 above = y - row < edge       ? -1
                         : row + 1 - y < edge ? 1
                                              : 0;
    if (beside != 0) take(part(column + beside, row), false);
    if (above != 0) take(part(column, row + above), false);
    if (beside != 0 && above != 0) take(part(column + beside, row + above), false);
  }
  std::size_t part(double column, double row) const {
    return static_cast<std::size_t>(square(column, row) * 0xD1B54A32D192ED03ULL >> 32) & mask_;
  }

  double limit_, side_ = 1;
  std::size_t mask_ = 0;
  std::vector<std::size_t> begins_;
  BigVector<Entry> entries_;
};

/// A square of the plan, and where its chain begins.
struct Cell {
  double column, row;
  std::size_t slot;
};

/// Chains of points by the cell that they lie in; a chain may serve several cells.
class CellChains {
 public:
  /// Cells are twice `reach` wide: what lies within it of a place is in that place's cell, the one beside,
  /// above, or beside and above.
  explicit CellChains(double reach) : side_(2 * reach), reach_(reach) {}

  /// Forgets all, and makes room for this many.
  void begin(std::size_t points) {
    mask_ = std::bit_ceil(2 * points + 2) - 1;
    heads_.assign(mask_ + 1, 0);
    next_.assign(points, 0);
  }
  /// The cell of a place, for this many points.
  Cell cell(double x, double y) const {
    const double column = std::floor(x / side_), row = std::floor(y / side_);
    return {column, row, slot(column, row)};
  }
  void add(const Cell& cell, std::uint32_t i) {
    next_[i] = heads_[cell.slot];
    heads_[cell.slot] = i + 1;
  }
  /// The first that is accepted of those that may lie within reach of a place in this cell: its index + 1, or
  /// 0. Some are offered twice.
  template <class Accept>
  std::uint32_t find(const Cell& c, double x, double y, const Accept& accept) const {
    const double beside = c.column + (x - c.column * side_ < reach_ ? -1 : 1),
                 above = c.row + (y - c.row * side_ < reach_ ? -1 : 1);
    // A crowded cell finds its like at once, so that no chain is walked to its end again and again.
    if (const std::uint32_t found = in_chain(c.slot, accept)) return found;
    if (const std::uint32_t found = in_chain(slot(beside, c.row), accept)) return found;
    if (const std::uint32_t found = in_chain(slot(c.column, above), accept)) return found;
    return in_chain(slot(beside, above), accept);
  }

 private:
  std::size_t slot(double column, double row) const { return square(column, row) & mask_; }
  template <class Accept>
  std::uint32_t in_chain(std::size_t head, const Accept& accept) const {
    for (std::uint32_t j = heads_[head]; j != 0; j = next_[j - 1])
      if (accept(j - 1)) return j;
    return 0;
  }

  double side_, reach_;
  std::size_t mask_ = 0;
  std::vector<std::uint32_t> heads_, next_;
};

/// Adds the pairs of one part.
void look(std::span<const Entry> entries, double limit, CellChains& chains, std::vector<NearPair>& out) {
  const double near = limit * limit;
  chains.begin(entries.size());
  for (std::uint32_t i = 0; i < entries.size(); ++i) {
    const Entry& e = entries[i];
    const Cell cell = chains.cell(e.x, e.y);
    const auto is_near = [&](std::uint32_t j) {
      const double dx = entries[j].x - e.x, dy = entries[j].y - e.y;
      // The same point may stand twice in a part that two of its tiles share.
      return dx * dx + dy * dy < near && entries[j].index < e.index;
    };
    if (e.own)
      if (const std::uint32_t found = chains.find(cell, e.x, e.y, is_near))
        out.push_back({entries[found - 1].index, e.index});
    chains.add(cell, i);
  }
}

struct Flat {
  double north, east;
};
double apart(const Flat& a, const Flat& b) { return std::hypot(a.north - b.north, a.east - b.east); }
struct Apart {
  double operator()(const Flat& a, const Flat& b) const { return apart(a, b); }
};
Flat flat(const Point<Site>& p) { return {p.at.northing.metres(), p.at.easting.metres()}; }

/// Points and their tree.
class Neighbours {
 public:
  explicit Neighbours(std::vector<Flat> points) : points_(std::move(points)), tree_(points_, Apart{}) {}

  std::optional<NearestPoint> find(const Flat& at, double within) const {
    std::vector<int> two;
    tree_.Search(points_, Apart{}, at, two, 2, within);
    if (two.empty()) return std::nullopt;
    const double nearest = distance_to(two[0], at);
    const bool is_alone = two.size() < 2 || distance_to(two[1], at) > nearest + kHair.metres();
    return NearestPoint{static_cast<std::uint32_t>(two[0]), is_alone};
  }

 private:
  double distance_to(int index, const Flat& at) const {
    return apart(points_[static_cast<std::size_t>(index)], at);
  }
  std::vector<Flat> points_;
  GeographicLib::NearestNeighbor<double, Flat, Apart> tree_;
};

}  // namespace

std::vector<NearPair> near_pairs(std::span<const Point<Drawing>> points, Length limit) {
  const double near = (limit - kHair).metres();
  const Parts parts(points, near);
  CellChains chains(near);
  std::vector<NearPair> out;
  for (std::size_t p = 0; p < parts.size(); ++p) look(parts[p], near, chains, out);
  std::sort(out.begin(), out.end(), [](const NearPair& a, const NearPair& b) { return a.later < b.later; });
  return out;
}

namespace {

std::pair<double, double> metres_of(const Point<Drawing>& p) { return {p.at.x.metres(), p.at.y.metres()}; }
std::pair<double, double> metres_of(const Point<Site>& p) {
  return {p.at.easting.metres(), p.at.northing.metres()};
}

template <class Frame>
std::vector<PairWithin> pairs_within_in(std::span<const Point<Frame>> of, std::span<const Point<Frame>> among,
                                        Length limit) {
  constexpr double kRoom = 1.1;  // far from the origin cells are rounded
  CellChains chains(kRoom * limit.metres());
  chains.begin(among.size());
  const auto cell = [&chains](const std::pair<double, double>& at) {
    return chains.cell(at.first, at.second);
  };
  for (std::uint32_t i = 0; i < among.size(); ++i) chains.add(cell(metres_of(among[i])), i);
  std::vector<std::tuple<Length, std::uint32_t, std::uint32_t>> near;
  for (std::uint32_t i = 0; i < of.size(); ++i) {
    const std::pair<double, double> at = metres_of(of[i]);
    chains.find(cell(at), at.first, at.second, [&](std::uint32_t j) {
      if (const Length d = distance(of[i], among[j]); d <= limit) near.emplace_back(d, i, j);
      return false;
    });
  }
  std::sort(near.begin(), near.end());
  near.erase(std::unique(near.begin(), near.end()), near.end());
  std::vector<PairWithin> out;
  out.reserve(near.size());
  for (const auto& [d, i, j] : near) out.push_back({i, j});
  return out;
}

}  // namespace

std::vector<PairWithin> pairs_within(std::span<const Point<Drawing>> of,
                                     std::span<const Point<Drawing>> among, Length limit) {
  return pairs_within_in<Drawing>(of, among, limit);
}
std::vector<PairWithin> pairs_within(std::span<const Point<Site>> of, std::span<const Point<Site>> among,
                                     Length limit) {
  return pairs_within_in<Site>(of, among, limit);
}

std::vector<std::optional<NearestPoint>> nearest_points(std::span<const Point<Site>> of,
                                                        std::span<const Point<Site>> among, Length limit) {
  if (of.empty()) return {};
  Extent<Site> extent;
  for (const Point<Site>& p : of) extent.take(p);
  const Extent<Site> reached = extent.widened(limit);
  // Only what can be reached goes into the tree: a few shots of a long drawing cost little.
  std::vector<Flat> places;
  std::vector<std::uint32_t> indexes;
  for (std::uint32_t i = 0; i < among.size(); ++i) {
    if (!reached.holds(among[i])) continue;
    places.push_back(flat(among[i]));
    indexes.push_back(i);
  }
  const Neighbours neighbours(std::move(places));
  std::vector<std::optional<NearestPoint>> out;
  out.reserve(of.size());
  for (const Point<Site>& p : of) {
    out.push_back(neighbours.find(flat(p), limit.metres()));
    if (out.back()) out.back()->index = indexes[out.back()->index];
  }
  return out;
}

}  // namespace deckmark
