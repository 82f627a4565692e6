#include "baseline/length_figure.h"

#include <algorithm>
#include <cassert>
#include <cmath>
#include <numeric>

#include "baseline/free_net.h"

namespace deckmark {

namespace {

/// A distance between marks asked for moves with what the lengths leave open by less than this share of it
/// (the rest is rounding), or it is not fixed.
constexpr double kFixed = 1e-3;
/// The same of a length that bears on it.
constexpr double kBears = 1e-6;

/// Where in a list; REQUIRES that it is there.
std::size_t index_of(const std::vector<std::size_t>& list, std::size_t value) {
  const auto at = std::ranges::find(list, value);
  assert(at != list.end());
  return static_cast<std::size_t>(at - list.begin());
}

/// Derivatives of the distances between all marks asked for by every unknown.
Matrix distances_by(const std::vector<double>& at, const std::vector<std::size_t>& asked) {
  const std::size_t n = asked.size();
  Matrix out(n * (n - 1) / 2, at.size());
  std::size_t row = 0;
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t j = i + 1; j < n; ++j, ++row) {
      const std::size_t a = asked[i], b = asked[j];
      const double length = std::hypot(at[2 * b] - at[2 * a], at[2 * b + 1] - at[2 * a + 1]);
      for (const std::size_t axis : {std::size_t{0}, std::size_t{1}}) {
        const double slope = (at[2 * b + axis] - at[2 * a + axis]) / length;
        out(row, 2 * a + axis) = -slope;
        out(row, 2 * b + axis) = slope;
      }
    }
  return out;
}

/// What each length adds to each of those distances: (distances by free unknowns) x covariance x design' x
/// weights.
Matrix bearing(const FreeNet& net, const FreeNet::Adjusted& a, const Matrix& by) {
  const Matrix design = net.design_of(a.rows, a.free, a.at);
  Matrix out(by.rows, a.rows.size());
  for (std::size_t d = 0; d < by.rows; ++d)
    for (std::size_t k = 0; k < a.free.size(); ++k) {
      double moved = 0;
      for (std::size_t j = 0; j < a.free.size(); ++j) moved += by(d, a.free[j]) * a.fit.covariance(j, k);
      for (std::size_t i = 0; i < a.rows.size(); ++i)
        out(d, i) += moved * design(i, k) / (net.sd(a.rows[i]) * net.sd(a.rows[i]));
    }
  return out;
}

/// Whether a distance changes with an unknown that the lengths do not determine.
bool is_fixed(const FreeNet& net, const FreeNet::Adjusted& a, const Matrix& by, const Matrix& bears) {
  std::vector<std::size_t> held;
  for (std::size_t u = 0; u < a.at.size(); ++u)
    if (std::ranges::find(a.free, u) == a.free.end()) held.push_back(u);
  const Matrix design = net.design_of(a.rows, held, a.at);
  for (std::size_t d = 0; d < by.rows; ++d)
    for (std::size_t h = 0; h < held.size(); ++h) {
      double change = by(d, held[h]);
      for (std::size_t i = 0; i < a.rows.size(); ++i) change -= bears(d, i) * design(i, h);
      if (std::abs(change) > kFixed) return false;
    }
  return true;
}

/// Lays the found places onto the drawn ones: turned and shifted as one sheet.
std::vector<Point<Drawing>> laid_onto(const std::vector<double>& drawn, const std::vector<double>& found) {
  const std::size_t n = drawn.size() / 2;
  double dx = 0, dy = 0, fx = 0, fy = 0;
  for (std::size_t i = 0; i < n; ++i)
    dx += drawn[2 * i], dy += drawn[2 * i + 1], fx += found[2 * i], fy += found[2 * i + 1];
  const double share = 1 / static_cast<double>(n);
  dx *= share, dy *= share, fx *= share, fy *= share;
  double same = 0, across = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const double x = found[2 * i] - fx, y = found[2 * i + 1] - fy, to_x = drawn[2 * i] - dx,
                 to_y = drawn[2 * i + 1] - dy;
    same += x * to_x + y * to_y;
    across += x * to_y - y * to_x;
  }
  const double turn = std::atan2(across, same), c = std::cos(turn), s = std::sin(turn);
  std::vector<Point<Drawing>> out;
  for (std::size_t i = 0; i < n; ++i) {
    const double x = found[2 * i] - fx, y = found[2 * i + 1] - fy;
    out.push_back({{.x = Length::metres(dx + c * x - s * y), .y = Length::metres(dy + s * x + c * y)}});
  }
  return out;
}

}  // namespace

Point<Drawing> LengthFigure::place_of(std::size_t mark) const { return found[index_of(marks, mark)]; }

std::optional<LengthFigure> length_figure(std::span<const MeasuredSide> sides,
                                          std::span<const Point<Drawing>> places,
                                          std::span<const std::size_t> asked) {
  for (const Network& network : networks_of(sides, places.size())) {
    const auto has = [&](std::size_t m) { return std::ranges::count(network.marks, m) > 0; };
    if (!std::ranges::all_of(asked, has)) continue;
    if (network.marks.size() > LengthsTogether::kMostMarks) return std::nullopt;
    const FreeNet net(network, sides, places);
    const std::vector<bool> usable = net.usable();
    if (std::ranges::count(usable, true) == 0) return std::nullopt;
    const FreeNet::Adjusted adjusted = net.adjusted(usable);
    if (!adjusted.fit.converged) return std::nullopt;
    std::vector<std::size_t> local;
    for (const std::size_t m : asked) local.push_back(index_of(network.marks, m));
    const Matrix by = distances_by(adjusted.at, local), bears = bearing(net, adjusted, by);
    LengthFigure out{
        network.marks, laid_onto(net.drawn_at(), adjusted.at), is_fixed(net, adjusted, by, bears), {}};
    for (std::size_t i = 0; i < adjusted.rows.size(); ++i) {
      if (adjusted.fit.redundancy[i] > kNoRedundancy) continue;
      for (std::size_t d = 0; d < by.rows; ++d)
        if (std::abs(bears(d, i)) > kBears) {
          out.unchecked.push_back(network.sides[adjusted.rows[i]]);
          break;
        }
    }
    return out;
  }
  return std::nullopt;
}

}  // namespace deckmark
