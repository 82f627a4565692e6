#include "baseline/length_net.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "adjust/solve.h"
#include "adjust/statistics.h"

namespace deckmark {

namespace {

constexpr double kGlobal = 0.999;
/// A coordinate known this many times worse than the worst length is as good as open: its mark lies on the
/// line of its neighbours.
constexpr double kAsGoodAsOpen = 50;
/// Marks nearer than this in the drawing give a length no direction.
constexpr Length kNoDirection = Length::millimetres(1);

/// Sides that hang together through their marks.
struct Network {
  std::vector<std::size_t> sides, marks;
};

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
  for (std::size_t i = 0; i < sides.size(); ++i) {
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

/// One network in plain metres; unknowns are x, y of every mark in turn.
class FreeNet {
 public:
  FreeNet(const Network& network, std::span<const MeasuredSide> sides,
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

  /// The adjustment of the lengths that are kept.
  NonlinearSolution fitted(const std::vector<bool>& kept) const {
    const std::vector<std::size_t> rows = rows_of(kept);
    std::vector<double> observed, sds;
    for (const std::size_t i : rows) {
      observed.push_back(measured_[i]);
      sds.push_back(sds_[i]);
    }
    const std::vector<std::size_t> free = free_unknowns(rows, sds);
    std::vector<double> from, all = start_;
    for (const std::size_t u : free) from.push_back(start_[u]);
    const Model model = [&](std::span<const double> p, std::span<double> computed, Matrix& design) {
      for (std::size_t k = 0; k < free.size(); ++k) all[free[k]] = p[k];
      for (std::size_t k = 0; k < rows.size(); ++k) computed[k] = span(rows[k], all);
      design = design_of(rows, free, all);
    };
    return solve_nonlinear(observed, sds, from, model, {.most_steps = 100, .settled = 1e-7});
  }

  /// Of the length as measured against the drawing.
  double off_the_drawing(std::size_t i) const { return measured_[i] - drawn_[i]; }

 private:
  std::vector<std::size_t> rows_of(const std::vector<bool>& kept) const {
    std::vector<std::size_t> rows;
    for (std::size_t i = 0; i < kept.size(); ++i)
      if (kept[i]) rows.push_back(i);
    return rows;
  }

  double span(std::size_t i, const std::vector<double>& at) const {
    const auto [a, b] = ends_[i];
    return std::hypot(at[2 * b] - at[2 * a], at[2 * b + 1] - at[2 * a + 1]);
  }

  Matrix design_of(const std::vector<std::size_t>& rows, const std::vector<std::size_t>& free,
                   const std::vector<double>& at) const {
    std::vector<std::size_t> column(at.size(), at.size());
    for (std::size_t k = 0; k < free.size(); ++k) column[free[k]] = k;
    Matrix out(rows.size(), free.size());
    for (std::size_t k = 0; k < rows.size(); ++k) {
      const auto [a, b] = ends_[rows[k]];
      const double length = span(rows[k], at);
      for (const std::size_t axis : {std::size_t{0}, std::size_t{1}}) {
        const double slope = (at[2 * b + axis] - at[2 * a + axis]) / length;
        if (column[2 * a + axis] < free.size()) out(k, column[2 * a + axis]) = -slope;
        if (column[2 * b + axis] < free.size()) out(k, column[2 * b + axis]) = slope;
      }
    }
    return out;
  }

  /// The unknowns that the lengths determine once the others stay as drawn.
  std::vector<std::size_t> free_unknowns(const std::vector<std::size_t>& rows,
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

  /// Holds one unknown for every open combination, so that none stays open.
  static void hold_open(Matrix open, std::vector<bool>& held) {
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

  std::vector<double> start_, drawn_, measured_, sds_;
  std::vector<std::pair<std::size_t, std::size_t>> ends_;
};

/// Of standardised residuals, by how many of them are checked.
double limit_for(std::span<const double> redundancy) {
  const auto checked = std::count_if(redundancy.begin(), redundancy.end(), [](double r) { return r > 0; });
  return wrong_limit(static_cast<std::size_t>(checked));
}

/// Names the wrong lengths of one network, one at a time.
class WrongLengths {
 public:
  WrongLengths(const FreeNet& net, const std::vector<bool>& usable, const NonlinearSolution& whole)
      : net_(net), usable_(usable), whole_(whole) {}

  /// `sides`: of the network.
  std::vector<WrongLength> find(const std::vector<std::size_t>& sides) {
    const auto found = find_wrong(sides.size(), sides.size(), limit_for(whole_.redundancy),
                                  [&](const std::vector<bool>& kept) { return refit(kept); });
    std::vector<WrongLength> out;
    for (std::size_t k = 0; k < found.size(); ++k) out.push_back(wrong_of(found[k], tried_[k], sides));
    return out;
  }

 private:
  struct Tried {
    std::vector<bool> kept;
    NonlinearSolution fit;
  };

  Fitted refit(const std::vector<bool>& kept) {
    Tried t{usable_, {}};
    for (std::size_t i = 0; i < kept.size(); ++i) t.kept[i] = t.kept[i] && kept[i];
    t.fit = tried_.empty() ? whole_ : net_.fitted(t.kept);  // the first time all are kept
    // What is kept but not usable has a row too: nothing checks it.
    Fitted f{t.fit.converged, {}, {}, {}};
    for (std::size_t i = 0, row = 0; i < kept.size(); ++i) {
      if (!kept[i]) continue;
      const bool has = t.kept[i] && t.fit.converged;
      f.residuals.push_back(has ? t.fit.residuals[row] : 0);
      f.redundancy.push_back(has ? t.fit.redundancy[row] : 0);
      f.standardised.push_back(has ? t.fit.standardised[row] : std::nullopt);
      if (t.kept[i]) ++row;
    }
    tried_.push_back(std::move(t));
    return f;
  }

  /// The suspects, the one in front that brings the lengths nearest to the drawing when it is put right: an
  /// error e of a length that is d off the drawing changes the sum of squares by e^2 - 2 e d.
  WrongLength wrong_of(const WrongObservation& w, const Tried& t,
                       const std::vector<std::size_t>& sides) const {
    struct Candidate {
      LengthSuspect suspect;
      double change;
    };
    std::vector<Candidate> candidates;
    std::vector<std::size_t> all{w.index};
    all.insert(all.end(), w.alike.begin(), w.alike.end());
    for (const std::size_t i : all) {
      const auto row = static_cast<std::size_t>(
          std::count(t.kept.begin(), t.kept.begin() + static_cast<std::ptrdiff_t>(i), true));
      const double e = t.fit.residuals[row] / t.fit.redundancy[row];
      candidates.push_back({{sides[i], Length::metres(e)}, e * (e - 2 * net_.off_the_drawing(i))});
    }
    std::stable_sort(candidates.begin(), candidates.end(),
                     [](const Candidate& a, const Candidate& b) { return a.change < b.change; });
    WrongLength out;
    for (const Candidate& c : candidates) out.suspects.push_back(c.suspect);
    return out;
  }

  const FreeNet& net_;
  const std::vector<bool>& usable_;
  const NonlinearSolution& whole_;
  std::vector<Tried> tried_;
};

void test(const Network& network, std::size_t number, std::span<const MeasuredSide> sides,
          std::span<const Point<Drawing>> places, LengthsTogether& out) {
  if (network.marks.size() > LengthsTogether::kMostMarks) {
    out.all_tested = false;
    return;
  }
  const FreeNet net(network, sides, places);
  std::vector<bool> usable;
  for (const std::size_t s : network.sides)
    usable.push_back(distance(places[sides[s].from], places[sides[s].to]) > kNoDirection);
  if (std::none_of(usable.begin(), usable.end(), [](bool u) { return u; })) return;
  const NonlinearSolution whole = net.fitted(usable);
  if (!whole.converged) {
    out.contradicts[number] = true;  // no such figure exists: a length is grossly wrong
    return;
  }
  for (std::size_t i = 0, row = 0; i < usable.size(); ++i) {
    if (!usable[i]) continue;
    out.redundancy[network.sides[i]] = whole.redundancy[row];
    out.residuals[network.sides[i]] = Length::metres(whole.residuals[row]);
    ++row;
  }
  out.spare[number] = whole.degrees_of_freedom;
  out.square_sum[number] = whole.square_sum;
  if (whole.degrees_of_freedom == 0) return;
  std::vector<WrongLength> wrong = WrongLengths(net, usable, whole).find(network.sides);
  out.contradicts[number] =
      !wrong.empty() ||
      whole.square_sum > chi_squared_quantile(kGlobal, static_cast<double>(whole.degrees_of_freedom));
  for (WrongLength& w : wrong) out.wrong.push_back(std::move(w));
}

}  // namespace

LengthsTogether hold_together(std::span<const MeasuredSide> sides, std::span<const Point<Drawing>> places) {
  LengthsTogether out;
  const std::vector<Network> networks = networks_of(sides, places.size());
  out.network.resize(sides.size());
  out.redundancy.resize(sides.size());
  out.residuals.assign(sides.size(), Length::metres(0));
  out.contradicts.resize(networks.size());
  out.spare.resize(networks.size());
  out.square_sum.resize(networks.size());
  for (std::size_t n = 0; n < networks.size(); ++n) {
    for (const std::size_t s : networks[n].sides) out.network[s] = n;
    test(networks[n], n, sides, places, out);
  }
  return out;
}

}  // namespace deckmark
