#include "shape/evenness.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

namespace deckmark::shape_detail {

namespace {

constexpr double kLeastStep = 0.05;
constexpr std::size_t kAllPairs = 9;  // rows up to this long are tried pair by pair

struct Fit {
  Lattice lattice{};
  std::size_t kept = 0;
};

std::size_t count_kept(std::span<const Value> row, const Lattice& l, double tolerance) {
  std::size_t kept = 0;
  for (const Value& v : row) kept += std::abs(v.at - l.at(v.index)) <= tolerance;
  return kept;
}

/// The least-squares lattice of the values that keep to one.
Lattice refined(std::span<const Value> row, const Lattice& l, double tolerance) {
  double n = 0, mean_i = 0, mean_v = 0;
  const auto keeps = [&](const Value& v) { return std::abs(v.at - l.at(v.index)) <= tolerance; };
  for (const Value& v : row)
    if (keeps(v)) n += 1, mean_i += v.index, mean_v += v.at;
  if (n < 2) return l;
  mean_i /= n, mean_v /= n;
  double ii = 0, iv = 0;
  for (const Value& v : row) {
    if (!keeps(v)) continue;
    ii += (v.index - mean_i) * (v.index - mean_i);
    iv += (v.index - mean_i) * (v.at - mean_v);
  }
  if (ii <= 0) return l;
  const double step = iv / ii;
  return {mean_v - mean_i * step, step};
}

class Search {
 public:
  Search(std::span<const Value> row, double tolerance) : row_(row), tolerance_(tolerance) {}

  Fit best() {
    const std::size_t n = row_.size();
    if (n <= kAllPairs) {
      for (std::size_t span = n - 1; span > 0 && best_.kept < n; --span)
        for (std::size_t i = 0; i + span < n && best_.kept < n; ++i) attempt(i, i + span);
      return best_;
    }
    const std::pair<std::size_t, std::size_t> pairs[] = {
        {0, n - 1},     {1, n - 2},         {0, n / 2},     {n / 2, n - 1},         {2, n - 3},
        {1, n / 2 - 1}, {n / 2 + 1, n - 2}, {n / 4, n / 2}, {n / 4 + 1, 3 * n / 4}, {n / 3, 2 * n / 3}};
    for (const auto& [i, j] : pairs) {
      if (best_.kept == n) break;
      if (i < j) attempt(i, j);
    }
    return best_;
  }

 private:
  void attempt(std::size_t i, std::size_t j) {
    const double step = (row_[j].at - row_[i].at) / (double{} + row_[j].index - row_[i].index);
    if (std::abs(step) < kLeastStep) return;
    Lattice l{row_[i].at - row_[i].index * step, step};
    if (count_kept(row_, l, 3 * tolerance_) <= best_.kept) return;
    for (int pass = 0; pass < 2; ++pass) l = refined(row_, l, (pass == 0 ? 3 : 1) * tolerance_);
    const std::size_t kept = count_kept(row_, l, tolerance_);
    if (kept > best_.kept) best_ = {l, kept};
  }

  std::span<const Value> row_;
  double tolerance_;
  Fit best_;
};

/// Neighbours that are off alike stand behind a joint.
bool any_moved_together(std::span<const OddValue> odd, double tolerance) {
  for (std::size_t i = 0; i + 1 < odd.size(); ++i)
    if (odd[i + 1].index == odd[i].index + 1 &&
        std::abs((odd[i + 1].at - odd[i + 1].expected) - (odd[i].at - odd[i].expected)) <= 2 * tolerance)
      return true;
  return false;
}

/// An end that stands a few whole spaces further out: they are left out on purpose.
bool is_gap(double out, double step, double tolerance) {
  return out / step > 0.5 && out / step < 3.5 && std::abs(std::remainder(out, step)) <= 2 * tolerance;
}

/// Values of either end, all the same whole spaces further out: one was left out behind them, for a door or a
/// column. The very end may have a bay of its own.
std::vector<bool> behind_gaps(std::span<const Value> row, const Lattice& l, double tolerance) {
  const std::size_t n = row.size();
  std::vector<bool> out(n);
  for (const bool from_last : {false, true}) {
    std::optional<double> first;
    for (std::size_t i = 0; i < n / 2; ++i) {
      const std::size_t k = from_last ? n - 1 - i : i;
      const double by = (row[k].at - l.at(row[k].index)) * (from_last ? 1 : -1);
      const bool is_whole = is_gap(by, l.step, tolerance);
      if (i == 0 && !is_whole && by / l.step > 0) continue;
      if (!is_whole || (first && std::abs(by - *first) > 2 * tolerance)) break;
      first = by, out[k] = true;
    }
  }
  return out;
}

/// A row of one space, whatever breaks it. Both ends off alike are end bays; one end may differ beside what
/// else breaks it.
std::optional<Evenness> as_even(std::span<const Value> row, const Fit& fit, double tolerance, bool closed) {
  const std::size_t n = row.size();
  if (fit.kept < 3) return std::nullopt;
  Evenness e{Evenness::Kind::even, fit.lattice, fit.kept, false, {}, {}};
  const auto is_off = [&](const Value& v) { return std::abs(v.at - fit.lattice.at(v.index)) > tolerance; };
  const bool both_ends = !closed && n >= 5 && is_off(row[0]) && is_off(row[n - 1]);
  const bool one_end = !closed && n >= 7 && !both_ends && (is_off(row[0]) || is_off(row[n - 1]));
  const std::size_t inner = both_ends ? n - 2 : one_end ? n - 1 : n, off = inner - fit.kept;
  if (off > may_break(inner) || (n > 3 && fit.kept < 3) || (inner < 4 && off > 0)) return std::nullopt;
  e.is_weak = fit.kept < 4;
  const std::vector<bool> has_gap = closed ? std::vector<bool>(n) : behind_gaps(row, fit.lattice, tolerance);
  const double first_bay = std::abs(row[0].at - fit.lattice.at(row[0].index + 1)),
               last_bay = std::abs(row[n - 1].at - fit.lattice.at(row[n - 1].index - 1.0));
  const bool alike = std::abs(first_bay - last_bay) <= 2 * tolerance;
  if (both_ends && alike) e.end_bays = {first_bay, last_bay};
  for (std::size_t i = 0; i < n; ++i) {
    if (!is_off(row[i]) || has_gap[i]) continue;
    const bool is_end = !closed && (i == 0 || i == n - 1);
    // Behind a gap it is the end's bay that differs; which is wrong is not known.
    if (is_end && has_gap[i == 0 ? 1 : n - 2]) continue;
    if (is_end && both_ends) {
      if (alike) continue;
      // The other end's bay is what is expected here.
      const double way = fit.lattice.step > 0 ? 1 : -1;
      const double at = i == 0 ? fit.lattice.at(row[0].index + 1) - way * last_bay
                               : fit.lattice.at(row[n - 1].index - 1.0) + way * first_bay;
      e.odd.push_back({row[i].index, row[i].at, at, true, fit.lattice.at(row[i].index), true});
      continue;
    }
    e.odd.push_back({row[i].index, row[i].at, fit.lattice.at(row[i].index), is_end, 0});
  }
  if (any_moved_together(e.odd, tolerance)) return std::nullopt;
  return e;
}

/// Spaces between neighbours, and which of them others of the row equal.
class Spaces {
 public:
  Spaces(std::span<const Value> row, double tolerance) : row_(row), tolerance_(2 * tolerance) {
    for (std::size_t i = 0; i + 1 < row.size(); ++i)
      spaces_.push_back(row[i + 1].index - row[i].index == 1 ? row[i + 1].at - row[i].at : 0);
    std::vector<double> sorted = spaces_;
    std::sort(sorted.begin(), sorted.end());
    for (const double s : spaces_) {
      const auto from = std::lower_bound(sorted.begin(), sorted.end(), s - tolerance_);
      const auto to = std::upper_bound(sorted.begin(), sorted.end(), s + tolerance_);
      regular_.push_back(std::abs(s) >= kLeastStep && to - from >= 2);
    }
  }

  /// Several spaces: each occurs twice or more; two that do not, side by side, whose sum does, share a point.
  std::optional<Evenness> explained() const {
    const auto regular = static_cast<std::size_t>(std::count(regular_.begin(), regular_.end(), true));
    if (regular < 4 || regular * 3 < spaces_.size() * 2) return std::nullopt;
    Evenness e{Evenness::Kind::parts, std::nullopt, regular, false, {}, {}};
    for (std::size_t i = 0; i < spaces_.size();) {
      std::size_t end = i;
      while (end < spaces_.size() && !regular_[end]) ++end;
      if (end - i > 2) return std::nullopt;
      if (end - i == 2 && !take_two(i, e.odd)) return std::nullopt;
      i = end == i ? i + 1 : end;
    }
    if (e.odd.size() > may_break(row_.size())) return std::nullopt;
    return e;
  }

 private:
  /// Spaces i and i + 1 are odd: what they should be are those beside them.
  bool take_two(std::size_t i, std::vector<OddValue>& odd) const {
    const bool has_left = i > 0, has_right = i + 2 < spaces_.size();
    const double left = has_left ? spaces_[i - 1] : spaces_[i + 2],
                 right = has_right ? spaces_[i + 2] : spaces_[i - 1];
    const double sum = spaces_[i] + spaces_[i + 1];
    const std::array<std::pair<double, double>, 3> ways = {{{left, left}, {right, right}, {left, right}}};
    for (const auto& [a, b] : ways) {
      if (std::abs(sum - a - b) > 2 * tolerance_) continue;
      odd.push_back({row_[i + 1].index, row_[i + 1].at, (row_[i].at + a + row_[i + 2].at - b) / 2, false});
      return true;
    }
    return false;
  }

  std::span<const Value> row_;
  double tolerance_;
  std::vector<double> spaces_;
  std::vector<bool> regular_;
};

}  // namespace

std::size_t may_break(std::size_t n) { return n < 4 ? 0 : std::max<std::size_t>(1, n / 6); }

Evenness evenness_of(std::span<const Value> row, double tolerance, bool closed) {
  if (row.size() < 3) return {};
  const Fit fit = Search(row, tolerance).best();
  if (auto even = as_even(row, fit, tolerance, closed)) return *std::move(even);
  if (row.size() >= 6 && !closed)
    if (auto parts = Spaces(row, tolerance).explained()) return *std::move(parts);
  Evenness none;
  none.kept = fit.kept;
  return none;
}

}  // namespace deckmark::shape_detail
