#include "asbuilt/match.h"

#include "measure/verdict.h"

#include <algorithm>
#include <cmath>
#include <GeographicLib/NearestNeighbor.hpp>
#include <optional>

namespace deckmark {

namespace {

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

  struct Nearest {
    std::size_t index;
    double distance;
    bool alone;  ///< no other is as near
  };
  std::optional<Nearest> find(const Flat& at, double within) const {
    std::vector<int> two;
    tree_.Search(points_, Apart{}, at, two, 2, within);
    if (two.empty()) return std::nullopt;
    const auto index = static_cast<std::size_t>(two[0]);
    const double nearest = apart(points_[index], at);
    const bool alone = two.size() < 2 || apart(points_[static_cast<std::size_t>(two[1])], at) > nearest + kHair.metres();
    return Nearest{index, nearest, alone};
  }

 private:
  std::vector<Flat> points_;
  GeographicLib::NearestNeighbor<double, Flat, Apart> tree_;
};

}  // namespace

NearestResult match_nearest(std::span<const Point<Site>> shots, std::span<const Point<Site>> marks, Length radius) {
  NearestResult out;
  const double reach = radius.metres() + kHair.metres();
  // Only marks that a shot can reach: a few shots of a long drawing cost little.
  double south = INFINITY, north = -INFINITY, west = INFINITY, east = -INFINITY;
  std::vector<Flat> places;
  places.reserve(shots.size());
  for (const Point<Site>& s : shots) {
    const Flat f = flat(s);
    places.push_back(f);
    south = std::min(south, f.north);
    north = std::max(north, f.north);
    west = std::min(west, f.east);
    east = std::max(east, f.east);
  }
  std::vector<Flat> near;
  std::vector<std::uint32_t> names;
  for (std::size_t m = 0; m < marks.size(); ++m) {
    const Flat f = flat(marks[m]);
    if (f.north < south - reach || f.north > north + reach || f.east < west - reach || f.east > east + reach) continue;
    near.push_back(f);
    names.push_back(static_cast<std::uint32_t>(m));
  }
  const Neighbours of_marks(near), of_shots(places);
  for (std::size_t i = 0; i < places.size(); ++i) {
    const auto mark = of_marks.find(places[i], reach);
    if (!mark) {
      out.unmatched.push_back(i);
      continue;
    }
    const auto back = of_shots.find(near[mark->index], reach);
    const bool mutual = back && back->index == i && back->alone && mark->alone;
    (mutual ? out.pairs : out.ambiguous).push_back({i, names[mark->index]});
  }
  return out;
}

}  // namespace deckmark
