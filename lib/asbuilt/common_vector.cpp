#include "asbuilt/common_vector.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <numbers>
#include <set>
#include <utility>
#include <vector>

#include "adjust/statistics.h"

namespace deckmark::causes {

namespace {

constexpr std::size_t kFewShots = 12;    // fewer do not tell where they lie densest
constexpr std::size_t kMostSeeds = 100;  // places from which the densest one is looked for
constexpr double kApart = 4;             // sds: a misfit beyond stands off; one in 3,000 sound marks does
constexpr double kReach = 4;             // sds: two of one vector differ by no more, but for 2 in 100
constexpr double kTight = 3;             // sds: within which members are counted
constexpr double kWindow = 3.5;          // sds about the densest place: another vector may lie beyond
constexpr int kAttempts = 5;             // dense places that are looked at

/// Distances within which half, and a quarter, of normal misfits lie, in sds of one coordinate.
double half_within(Ways ways) { return ways == Ways::all_round ? 1.17741002251547469 : 0.67448975019608171; }
double quarter_within(Ways ways) {
  return ways == Ways::all_round ? 0.75852767044466868 : 0.31863936396437514;
}

std::vector<double> distances(std::span<const OffShot> shots, Complex from) {
  std::vector<double> out;
  out.reserve(shots.size());
  for (const OffShot& s : shots) out.push_back(std::abs(s.off - from) / s.spread);
  return out;
}

double at_rank(std::vector<double>& values, std::size_t rank) {
  const auto at = values.begin() + static_cast<std::ptrdiff_t>(rank);
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

Complex weighted_mean(std::span<const OffShot> shots, std::span<const std::size_t> which) {
  Complex sum;
  double weight = 0;
  for (const std::size_t i : which) {
    const double w = 1 / (shots[i].spread * shots[i].spread);
    sum += w * shots[i].off;
    weight += w;
  }
  return sum / weight;
}

/// Misfits by squares of the plane.
class Grid {
 public:
  using Cell = std::pair<std::int64_t, std::int64_t>;
  Grid(std::span<const OffShot> shots, double side) : shots_(shots), side_(side) {}

  void put(std::size_t i) { cells_[cell(shots_[i].off)].push_back(i); }
  void drop(std::size_t i) { std::erase(cells_[cell(shots_[i].off)], i); }
  /// All in the nine squares about a place.
  std::vector<std::size_t> about(Complex place) const {
    std::vector<std::size_t> out;
    const Cell at = cell(place);
    for (std::int64_t a = -1; a <= 1; ++a)
      for (std::int64_t b = -1; b <= 1; ++b)
        if (const auto c = cells_.find({at.first + a, at.second + b}); c != cells_.end())
          out.insert(out.end(), c->second.begin(), c->second.end());
    return out;
  }
  /// The fullest nine squares.
  std::vector<std::size_t> fullest() const {
    std::vector<std::size_t> best;
    for (const auto& [at, members] : cells_) {
      if (members.empty()) continue;
      std::vector<std::size_t> near = about(shots_[members.front()].off);
      if (near.size() > best.size()) best = std::move(near);
    }
    return best;
  }

 private:
  Cell cell(Complex p) const {
    const auto step = [&](double v) { return static_cast<std::int64_t>(std::floor(v / side_)); };
    return {step(p.real()), step(p.imag())};
  }
  std::span<const OffShot> shots_;
  double side_;
  std::map<Cell, std::vector<std::size_t>> cells_;
};

std::size_t marks_of(std::span<const OffShot> shots, std::span<const std::size_t> which) {
  std::set<std::uint32_t> marks;
  for (const std::size_t i : which) marks.insert(shots[i].mark);
  return marks.size();
}

std::vector<std::size_t> within(std::span<const OffShot> shots, std::vector<std::size_t> which, Complex of,
                                double reach) {
  std::erase_if(which, [&](std::size_t i) { return std::abs(shots[i].off - of) > reach * shots[i].spread; });
  return which;
}

/// The place that most of these lie near, from the one of them with the most neighbours.
Complex densest(std::span<const OffShot> shots, const Grid& grid, const std::vector<std::size_t>& block,
                double reach) {
  const std::size_t step = std::max<std::size_t>(1, block.size() / kMostSeeds);
  std::size_t most = 0;
  Complex at = shots[block.front()].off;
  for (std::size_t k = 0; k < block.size(); k += step) {
    const std::size_t n = within(shots, block, shots[block[k]].off, reach).size();
    if (n > most) most = n, at = shots[block[k]].off;
  }
  constexpr int kSteps = 6;
  for (int step_of = 0; step_of < kSteps; ++step_of) {
    const auto near = within(shots, grid.about(at), at, reach);
    if (near.empty()) break;
    at = weighted_mean(shots, near);
  }
  return at;
}

/// Sd of one coordinate where each shot is taken about the nearer of its design and this vector.
double scatter_about_both(std::span<const OffShot> shots, Complex by, Ways ways) {
  std::vector<double> near;
  near.reserve(shots.size());
  for (const OffShot& s : shots) near.push_back(std::min(std::abs(s.off), std::abs(s.off - by)) / s.spread);
  return at_rank(near, near.size() / 2) / half_within(ways);
}

/// Shots that stand off beyond scatter.
std::vector<std::size_t> apart(std::span<const OffShot> shots, double level) {
  std::vector<std::size_t> out;
  for (std::size_t i = 0; i < shots.size(); ++i)
    if (std::abs(shots[i].off) > kApart * level * shots[i].spread) out.push_back(i);
  return out;
}

/// Probability, times the places tried, that so many of the marks that stand off do so by this vector.
double chance_of(std::span<const OffShot> shots, Ways ways, Complex by, double level) {
  const std::vector<std::size_t> off = apart(shots, level);
  // Up and down there is nothing to be gained from a narrow reach.
  const double reach = ways == Ways::up_and_down ? kReach : kTight;
  const std::size_t all = marks_of(shots, off),
                    marks = marks_of(shots, within(shots, off, by, reach * level));
  if (marks < 2) return 1;
  const double share = ways == Ways::up_and_down
                           ? 0.5
                           : std::asin(std::min(1.0, kTight * level / std::abs(by))) / std::numbers::pi;
  return static_cast<double>(all) * binomial_upper_tail(all - 1, share, marks - 1);
}

}  // namespace

double binomial_upper_tail(std::size_t n, double probability, std::size_t least) {
  if (least == 0 || probability >= 1) return 1;
  if (least > n || probability <= 0) return 0;
  // The tail is an incomplete beta function, as that of a variance ratio is.
  const double a = 2 * static_cast<double>(least), b = 2 * static_cast<double>(n - least + 1);
  return fisher_upper_tail((1 - probability) * a / (probability * b), b, a);
}

double densest_scatter(std::span<const OffShot> shots, Ways ways) {
  if (shots.size() < kFewShots) return std::numeric_limits<double>::infinity();
  // An eighth of all, as if half of all shared one vector; what follows does not hang on it.
  const std::size_t rank = shots.size() / 8, step = std::max<std::size_t>(1, shots.size() / kMostSeeds);
  Complex centre;
  double least = std::numeric_limits<double>::infinity();
  for (std::size_t k = 0; k < shots.size(); k += step) {
    std::vector<double> far = distances(shots, shots[k].off);
    if (const double at = at_rank(far, rank); at < least) least = at, centre = shots[k].off;
  }
  double scatter = std::max(least / quarter_within(ways), kLeastScatter);
  constexpr int kSteps = 10;
  for (int i = 0; i < kSteps; ++i) {
    std::vector<std::size_t> all(shots.size());
    for (std::size_t k = 0; k < all.size(); ++k) all[k] = k;
    const auto near = within(shots, std::move(all), centre, kWindow * scatter);
    if (near.empty()) break;
    centre = weighted_mean(shots, near);
    std::vector<double> far;
    far.reserve(near.size());
    for (const std::size_t k : near) far.push_back(std::abs(shots[k].off - centre) / shots[k].spread);
    scatter = std::max(at_rank(far, far.size() / 2) / half_within(ways), kLeastScatter);
  }
  return scatter;
}

CommonVector find_common_vector(std::span<const OffShot> shots, Ways ways, double level, double alpha) {
  CommonVector out;
  Grid grid(shots, kReach * level);
  const std::vector<std::size_t> off = apart(shots, level);
  for (const std::size_t i : off) grid.put(i);
  out.centres = marks_of(shots, off);
  for (int attempt = 0; attempt < kAttempts; ++attempt) {
    const std::vector<std::size_t> block = grid.fullest();
    if (block.size() < 2) break;
    const Complex by = densest(shots, grid, block, kReach * level);
    const double better = std::max(scatter_about_both(shots, by, ways), kLeastScatter);
    if (chance_of(shots, ways, by, better) <= alpha) {
      out.by = by;
      out.level = better;
      return out;
    }
    for (const std::size_t i : block) grid.drop(i);
  }
  return out;
}

bool stands_off_by(const OffShot& shot, Complex by, double level) {
  const double left = std::abs(shot.off - by);
  return left < std::abs(shot.off) && left <= kWild * level * shot.spread;
}

}  // namespace deckmark::causes
