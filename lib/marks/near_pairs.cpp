#include "marks/near_pairs.h"

#include <algorithm>
#include <bit>
#include <cmath>

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

/// Chains of points by the cell that they lie in; a chain may serve several cells.
class CellChains {
 public:
  explicit CellChains(double limit) : side_(2 * limit), reach_(limit), near_(limit * limit) {}

  /// Adds the pairs of one part.
  void look(std::span<const Entry> entries, std::vector<NearPair>& out) {
    mask_ = std::bit_ceil(2 * entries.size() + 2) - 1;
    heads_.assign(mask_ + 1, 0);
    next_.assign(entries.size(), 0);
    for (std::uint32_t i = 0; i < entries.size(); ++i) {
      const Entry& e = entries[i];
      const double column = std::floor(e.x / side_), row = std::floor(e.y / side_);
      const std::size_t own = square(column, row) & mask_;
      if (e.own)
        if (const std::uint32_t found = near(entries, e, column, row))
          out.push_back({entries[found - 1].index, e.index});
      next_[i] = heads_[own];
      heads_[own] = i + 1;
    }
  }

 private:
  /// An earlier entry nearer than the limit: its place + 1, or 0.
  std::uint32_t near(std::span<const Entry> entries, const Entry& e, double column, double row) const {
    // Cells are twice the limit wide: what is near lies in this cell, the one beside, above, or beside and
    // above.
    const double beside = column + (e.x - column * side_ < reach_ ? -1 : 1),
                 above = row + (e.y - row * side_ < reach_ ? -1 : 1);
    // A crowded cell finds its like at once, so that no chain is walked to its end again and again.
    if (const std::uint32_t found = in_chain(entries, e, column, row)) return found;
    if (const std::uint32_t found = in_chain(entries, e, beside, row)) return found;
    if (const std::uint32_t found = in_chain(entries, e, column, above)) return found;
    return in_chain(entries, e, beside, above);
  }
  std::uint32_t in_chain(std::span<const Entry> entries, const Entry& e, double column, double row) const {
    for (std::uint32_t j = heads_[square(column, row) & mask_]; j != 0; j = next_[j - 1]) {
      const double dx = entries[j - 1].x - e.x, dy = entries[j - 1].y - e.y;
      // The same point may stand twice in a part that two of its tiles share.
      if (dx * dx + dy * dy < near_ && entries[j - 1].index < e.index) return j;
    }
    return 0;
  }

  double side_, reach_, near_;
  std::size_t mask_ = 0;
  std::vector<std::uint32_t> heads_, next_;
};

}  // namespace

std::vector<NearPair> near_pairs(std::span<const Point<Drawing>> points, Length limit) {
  const double near = (limit - kHair).metres();
  const Parts parts(points, near);
  CellChains chains(near);
  std::vector<NearPair> out;
  for (std::size_t p = 0; p < parts.size(); ++p) chains.look(parts[p], out);
  std::sort(out.begin(), out.end(), [](const NearPair& a, const NearPair& b) { return a.later < b.later; });
  return out;
}

}  // namespace deckmark
