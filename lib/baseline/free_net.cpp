#include "baseline/free_net.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace deckmark {

namespace {

/// A coordinate known this many times worse than the worst length is as good as open: its mark lies on the
/// line of its neighbours.
constexpr double kAsGoodAsOpen = 50;
/// Marks nearer than this in the drawing give a length no direction.
constexpr double kNoDirection = 0.001;  // metres

/// Holds one unknown for every open combination, so that none stays open.
void hold_open(Matrix open, std::vector<bool>& held) {
  for (std::size_t k = 0; k < open.cols; ++k) {
    std::size_t most = 0;
    for (std::size_t j = 0; j < open.rows; ++j)
      if (std::abs(open(j, k)) > std::abs(open(most, k))) most = j;
    held[most] = true;
    for (std::size_t other = k + 1; other < open.cols; ++other) {
      const double share = open(most, other) / open(most, k);
      for (std::size_t j = 0; j < open.rows; ++j) open(j, other) -= share * open(j, k);
    }
  }
}

}  // namespace

std::vector<Network> networks_of(std::span<const MeasuredSide> sides, std::size_t marks) {
  std::vector<std::size_t> root(marks);
  std::iota(root.begin(), root.end(), std::size_t{0});
  const auto find = [&](std::size_t m) {
    while (root[m] != m) m = root[m] = root[root[m]];
    return m;
  };
  for (const MeasuredSide& s : sides) root[find(s.from)] = find(s.to);
  std::vector<Network> out;
  constexpr std::size_t kNone = static_cast<std::size_t>(-1);
  std::vector<std::size_t> at(marks, kNone);
  const std::vector<std::size_t> first = first_alike(sides);
  for (std::size_t i = 0; i < sides.size(); ++i) {
    if (first[i] != i) continue;
    std::size_t& n = at[find(sides[i].from)];
    if (n == kNone) {
      n = out.size();
      out.emplace_back();
    }
    out[n].sides.push_back(i);
  }
  for (std::size_t m = 0; m < marks; ++m)
    if (const std::size_t n = at[find(m)]; n != kNone) out[n].marks.push_back(m);
  return out;
}

FreeNet::FreeNet(const Network& network, std::span<const MeasuredSide> sides,
                 std::span<const Point<Drawing>> places) {
  std::vector<std::size_t> local(places.size());
  for (const std::size_t m : network.marks) {
    local[m] = start_.size() / 2;
    start_.push_back(places[m].at.x.metres());
    start_.push_back(places[m].at.y.metres());
  }
  for (const std::size_t s : network.sides) {
    ends_.push_back({local[sides[s].from], local[sides[s].to]});
    drawn_.push_back(distance(places[sides[s].from], places[sides[s].to]).metres());
    measured_.push_back(sides[s].length.value.metres());
    sds_.push_back(sides[s].length.sd.metres());
  }
}

FreeNet::Adjusted FreeNet::adjusted(const std::vector<bool>& kept) const {
  Adjusted out;
  for (std::size_t i = 0; i < kept.size(); ++i)
    if (kept[i]) out.rows.push_back(i);
  std::vector<double> observed, sds;
  for (const std::size_t i : out.rows) {
    observed.push_back(measured_[i]);
    sds.push_back(sds_[i]);
  }
  out.free = free_unknowns(out.rows, sds);
  std::vector<double> from;
  out.at = start_;
  for (const std::size_t u : out.free) from.push_back(start_[u]);
  const Model model = [&](std::span<const double> p, std::span<double> computed, Matrix& design) {
    for (std::size_t k = 0; k < out.free.size(); ++k) out.at[out.free[k]] = p[k];
    for (std::size_t k = 0; k < out.rows.size(); ++k) computed[k] = span(out.rows[k], out.at);
    design = design_of(out.rows, out.free, out.at);
  };
  out.fit = solve_nonlinear(observed, sds, from, model, {.most_steps = 100, .settled = 1e-7});
  for (std::size_t k = 0; k < out.fit.parameters.size(); ++k) out.at[out.free[k]] = out.fit.parameters[k];
  return out;
}

std::vector<bool> FreeNet::usable() const {
  std::vector<bool> out;
  for (const double d : drawn_) out.push_back(d > kNoDirection);
  return out;
}

double FreeNet::span(std::size_t i, const std::vector<double>& at) const {
  const auto [a, b] = ends_[i];
  return std::hypot(at[2 * b] - at[2 * a], at[2 * b + 1] - at[2 * a + 1]);
}

Matrix FreeNet::design_of(const std::vector<std::size_t>& rows, const std::vector<std::size_t>& unknowns,
                          const std::vector<double>& at) const {
  std::vector<std::size_t> column(at.size(), at.size());
  for (std::size_t k = 0; k < unknowns.size(); ++k) column[unknowns[k]] = k;
  Matrix out(rows.size(), unknowns.size());
  for (std::size_t k = 0; k < rows.size(); ++k) {
    const auto [a, b] = ends_[rows[k]];
    const double length = span(rows[k], at);
    for (const std::size_t axis : {std::size_t{0}, std::size_t{1}}) {
      const double slope = (at[2 * b + axis] - at[2 * a + axis]) / length;
      if (column[2 * a + axis] < unknowns.size()) out(k, column[2 * a + axis]) = -slope;
      if (column[2 * b + axis] < unknowns.size()) out(k, column[2 * b + axis]) = slope;
    }
  }
  return out;
}

/// The unknowns that the lengths determine once the others stay as drawn.
std::vector<std::size_t> FreeNet::free_unknowns(const std::vector<std::size_t>& rows,
                                                std::span<const double> sds) const {
  std::vector<std::size_t> free(start_.size());
  std::iota(free.begin(), free.end(), std::size_t{0});
  const double worst = kAsGoodAsOpen * *std::max_element(sds.begin(), sds.end());
  while (!free.empty()) {
    const Prediction p = predict(design_of(rows, free, start_), sds);
    std::vector<bool> held(free.size(), false);
    if (!p.full_rank) {
      hold_open(p.open, held);
    } else {
      std::size_t loosest = 0;
      for (std::size_t k = 1; k < free.size(); ++k)
        if (p.covariance(k, k) > p.covariance(loosest, loosest)) loosest = k;
      if (p.covariance(loosest, loosest) <= worst * worst) break;
      held[loosest] = true;
    }
    std::vector<std::size_t> left;
    for (std::size_t k = 0; k < free.size(); ++k)
      if (!held[k]) left.push_back(free[k]);
    free = std::move(left);
  }
  return free;
}

}  // namespace deckmark
