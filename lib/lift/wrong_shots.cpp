// Which one shot is wrong, by height or in plan.
#include <algorithm>
#include <cmath>
#include <utility>

#include "adjust/solve.h"
#include "lift/shot_plane.h"

namespace deckmark {

namespace shot_plane {

namespace {

// Under this redundancy a shot alone holds up the plane where it stands: nothing says what it should be.
constexpr double kLeastRedundancy = 0.01;
// Accounts that leave up to so much more than the best (variances), or than shots can be read to, are alike.
constexpr double kAlike = 4;
constexpr double kReading = 1e-3;
constexpr std::size_t kMostRefits = 8;
// How many times further than the others reach a lone shot lies (our rule; three shots say little).
constexpr double kLoneReaches = 5, kLoneReachesOfThree = 50;

std::vector<Local> without(std::span<const Local> shots, std::size_t left_out) {
  std::vector<Local> out(shots.begin(), shots.end());
  out.erase(out.begin() + static_cast<std::ptrdiff_t>(left_out));
  return out;
}

WithoutOne account(std::span<const Local> shots, std::size_t left_out) {
  const Plane rest = fit_plane(without(shots, left_out));
  WithoutOne out;
  out.shot = left_out;
  if (rest.residuals.empty()) {
    out.slope = HUGE_VAL;
    return out;
  }
  const Local& p = shots[left_out];
  out.off = p.h - rest.height - rest.gradient.n * p.n - rest.gradient.e * p.e;
  out.square_sum = rest.square_sum;
  for (const double v : rest.residuals) out.largest = std::max(out.largest, std::fabs(v));
  out.slope = std::hypot(rest.gradient.n, rest.gradient.e);
  return out;
}

}  // namespace

Plane fit_plane(std::span<const Local> shots) {
  LinearProblem problem;
  problem.design = Matrix(shots.size(), 3);
  problem.sds.assign(shots.size(), 1.0);
  for (std::size_t i = 0; i < shots.size(); ++i) {
    problem.design(i, 0) = 1;
    problem.design(i, 1) = shots[i].n;
    problem.design(i, 2) = shots[i].e;
    problem.observed.push_back(shots[i].h);
  }
  Solution s = solve(problem);
  Plane out;
  if (!s.full_rank) return out;  // the remaining shots of a search may lie on one line: nothing to claim
  out.height = s.parameters[0];
  out.gradient = {s.parameters[1], s.parameters[2]};
  out.residuals = std::move(s.residuals);
  out.redundancy = std::move(s.redundancy);
  out.square_sum = s.square_sum;
  out.cofactors = std::move(s.covariance);
  return out;
}

std::vector<WithoutOne> without_one(std::span<const Local> shots, const Plane& plane) {
  // What leaving a shot out takes from the square sum is v^2 / r; the likeliest few are fitted anew.
  std::vector<std::pair<double, std::size_t>> falls;
  for (std::size_t i = 0; i < shots.size(); ++i)
    if (const double r = plane.redundancy[i]; r >= kLeastRedundancy)
      falls.emplace_back(plane.residuals[i] * plane.residuals[i] / r, i);
  const auto most = std::min(falls.size(), kMostRefits);
  std::partial_sort(falls.begin(), falls.begin() + static_cast<std::ptrdiff_t>(most), falls.end(),
                    [](const auto& a, const auto& b) {
                      return a.first != b.first ? a.first > b.first : a.second < b.second;
                    });
  std::vector<WithoutOne> out;
  for (std::size_t k = 0; k < most; ++k)
    if (const WithoutOne a = account(shots, falls[k].second); a.slope < HUGE_VAL) out.push_back(a);
  if (out.empty()) return out;
  double least = out.front().square_sum;
  for (const WithoutOne& a : out) least = std::min(least, a.square_sum);
  const double count = static_cast<double>(shots.size());
  std::erase_if(
      out, [&](const WithoutOne& a) { return a.square_sum > kAlike * least + count * kReading * kReading; });
  std::stable_sort(out.begin(), out.end(),
                   [](const WithoutOne& a, const WithoutOne& b) { return a.slope < b.slope; });
  const bool is_believed = out.front().slope <= kSteepestDeck;
  std::erase_if(out, [&](const WithoutOne& a) { return is_believed && a.slope > kSteepestDeck; });
  return out;
}

std::vector<OneWrong> single_out(std::span<const Local> shots, double flatness) {
  std::vector<OneWrong> out;
  if (shots.size() < 4) return out;
  const Plane plane = fit_plane(shots);
  if (plane.residuals.empty()) return out;
  for (const WithoutOne& a : without_one(shots, plane))
    if (a.largest <= flatness && std::fabs(a.off) > flatness)
      out.push_back({a.shot, Length::metres(a.off), a.slope});
  return out;
}

std::optional<LoneShot> lone_shot(std::span<const DeckShot> shots) {
  const std::size_t n = shots.size();
  if (n < 3) return std::nullopt;
  const auto middle = [&](Length Site::Axes::*axis) {
    std::vector<Length> all;
    for (const DeckShot& s : shots) all.push_back(s.at.at.*axis);
    std::nth_element(all.begin(), all.begin() + static_cast<std::ptrdiff_t>(n / 2), all.end());
    return all[n / 2];
  };
  const Point<Site> amid{
      {.northing = middle(&Site::Axes::northing), .easting = middle(&Site::Axes::easting)}};
  LoneShot out;
  for (std::size_t i = 1; i < n; ++i)
    if (distance(shots[i].at, amid) > distance(shots[out.shot].at, amid)) out.shot = i;
  std::vector<Point<Site>> rest;
  for (std::size_t i = 0; i < n; ++i)
    if (i != out.shot) rest.push_back(shots[i].at);
  const auto nearest = [&](const Point<Site>& p) {
    Length least = distance(p, rest.front());
    for (const Point<Site>& q : rest) least = std::min(least, distance(p, q));
    return least;
  };
  const Point<Site>& lone = shots[out.shot].at;
  out.away = nearest(lone);
  out.reach = farthest_pair(rest);
  if (out.away <= (n == 3 ? kLoneReachesOfThree : kLoneReaches) * out.reach + kHair) return std::nullopt;
  const Point<Site> turned{{.northing = lone.at.easting, .easting = lone.at.northing}};
  out.exchanged = nearest(turned) <= out.reach;
  const auto is_apart = [&](Length Site::Axes::*axis) {
    return std::none_of(rest.begin(), rest.end(),
                        [&](const Point<Site>& q) { return abs(q.at.*axis - lone.at.*axis) <= out.reach; });
  };
  out.northing_apart = is_apart(&Site::Axes::northing);
  out.easting_apart = is_apart(&Site::Axes::easting);
  return out;
}

}  // namespace shot_plane

Length farthest_pair(std::span<const Point<Site>> places) {
  // The two are corners of the convex hull (Andrew's monotone chain, from memory).
  std::vector<Point<Site>> sorted(places.begin(), places.end());
  std::sort(sorted.begin(), sorted.end(), [](const Point<Site>& a, const Point<Site>& b) {
    return std::pair(a.at.northing, a.at.easting) < std::pair(b.at.northing, b.at.easting);
  });
  const auto turn = [](const Point<Site>& a, const Point<Site>& b, const Point<Site>& c) {
    const Vec<Site> u = b - a, v = c - a;
    return u.by.northing.metres() * v.by.easting.metres() - u.by.easting.metres() * v.by.northing.metres();
  };
  std::vector<Point<Site>> hull;
  for (int side = 0; side < 2; ++side) {
    const std::size_t start = hull.size();
    for (const Point<Site>& p : sorted) {
      while (hull.size() >= start + 2 && turn(hull[hull.size() - 2], hull.back(), p) <= 0) hull.pop_back();
      hull.push_back(p);
    }
    std::reverse(sorted.begin(), sorted.end());
  }
  Length most = Length::metres(0);
  for (std::size_t i = 0; i < hull.size(); ++i)
    for (std::size_t k = i + 1; k < hull.size(); ++k) most = std::max(most, distance(hull[i], hull[k]));
  return most;
}

}  // namespace deckmark
