#include "asbuilt/match.h"

#include <algorithm>
#include <cmath>
#include <GeographicLib/NearestNeighbor.hpp>
#include <optional>

#include "measure/verdict.h"

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
    const bool alone =
        two.size() < 2 || apart(points_[static_cast<std::size_t>(two[1])], at) > nearest + kHair.metres();
    return Nearest{index, nearest, alone};
  }

 private:
  std::vector<Flat> points_;
  GeographicLib::NearestNeighbor<double, Flat, Apart> tree_;
};

/// Marks that a shot can reach: a few shots of a long drawing cost little.
struct Reachable {
  std::vector<Flat> places;
  std::vector<std::uint32_t> names;
};
Reachable reachable(std::span<const Flat> shots, std::span<const Point<Site>> marks, double reach) {
  double south = INFINITY, north = -INFINITY, west = INFINITY, east = -INFINITY;
  for (const Flat& f : shots) {
    south = std::min(south, f.north);
    north = std::max(north, f.north);
    west = std::min(west, f.east);
    east = std::max(east, f.east);
  }
  Reachable out;
  for (std::size_t m = 0; m < marks.size(); ++m) {
    const Flat f = flat(marks[m]);
    if (f.north < south - reach || f.north > north + reach || f.east < west - reach || f.east > east + reach)
      continue;
    out.places.push_back(f);
    out.names.push_back(static_cast<std::uint32_t>(m));
  }
  return out;
}

std::vector<Flat> flat(std::span<const Point<Site>> points) {
  std::vector<Flat> out;
  out.reserve(points.size());
  for (const Point<Site>& p : points) out.push_back(flat(p));
  return out;
}

}  // namespace

NearestResult match_nearest(std::span<const Point<Site>> shots, std::span<const Point<Site>> marks,
                            Length radius) {
  NearestResult out;
  const double reach = radius.metres() + kHair.metres();
  const std::vector<Flat> places = flat(shots);
  const Reachable near = reachable(places, marks, reach);
  const Neighbours of_marks(near.places), of_shots(places);
  for (std::size_t i = 0; i < places.size(); ++i) {
    const auto mark = of_marks.find(places[i], reach);
    if (!mark) {
      out.unmatched.push_back(i);
      continue;
    }
    const auto back = of_shots.find(near.places[mark->index], reach);
    const bool mutual = back && back->index == i && back->alone && mark->alone;
    (mutual ? out.pairs : out.ambiguous).push_back({i, near.names[mark->index]});
  }
  return out;
}

std::vector<std::optional<std::uint32_t>> nearest_marks(std::span<const Point<Site>> shots,
                                                        std::span<const Point<Site>> marks, Length radius) {
  const double reach = radius.metres() + kHair.metres();
  const std::vector<Flat> places = flat(shots);
  const Reachable near = reachable(places, marks, reach);
  const Neighbours of_marks(near.places);
  std::vector<std::optional<std::uint32_t>> out;
  out.reserve(places.size());
  for (const Flat& f : places) {
    const auto mark = of_marks.find(f, reach);
    out.push_back(mark ? std::optional(near.names[mark->index]) : std::nullopt);
  }
  return out;
}

}  // namespace deckmark
