// Lower bounds of a packing, and packings made from the patterns of the best of them.
#include <algorithm>
#include <cmath>
#include <limits>
#include <span>

#include "hanger/cut_list_parts.h"

namespace deckmark::cut_detail {

namespace {

constexpr std::size_t kMostThresholds = 400;
constexpr int kMostSteps = 12000;  // of the first relaxation; those of what is left need fewer
constexpr std::int64_t kKnapsackSteps = 20'000,
                       kThoroughSteps = 1'000'000;  // the second where the first finds nothing,
constexpr int kThorough = 12;                       // so many times
constexpr Units kCellSteps = 150'000'000, kMostCells = 1'000'000;
constexpr double kTaken = 0.35;  // share of the patterns taken over before what is left is solved again

/// The share that a sum of whole units has in `whole`, rounded up.
std::size_t rounded_up(long double sum, long double whole) {
  return static_cast<std::size_t>(std::ceil(sum / whole - 1e-9L));
}

/// Dual feasible function u^(k) over the shares of items; its sum in units of room.
long double sum_u(const std::vector<Units>& lengths, Units room, Units k, Units threshold) {
  long double sum = 0;
  for (const Units x : lengths) {
    const Units y = x > room - threshold ? room : x < threshold ? 0 : x;
    const Units scaled = (k + 1) * y, rooms = scaled / room;
    sum += scaled % room == 0 ? static_cast<long double>(y)
                              : static_cast<long double>(rooms) * static_cast<long double>(room) /
                                    static_cast<long double>(k);
  }
  return sum;
}

/// Items over half the room, less what small ones could stand beside them: phi^(threshold).
long double sum_phi(const std::vector<Units>& lengths, Units room, Units threshold) {
  const Units most = room / threshold;
  long double sum = 0;
  for (const Units x : lengths) {
    const Units left = most - (room - x) / threshold;
    if (2 * x > room)
      sum += static_cast<long double>(left) / static_cast<long double>(most);
    else if (x >= threshold)
      sum += 1 / static_cast<long double>(most);
  }
  return sum;
}

}  // namespace

std::size_t quick_bound(const PackTask& task) {
  const long double room = static_cast<long double>(task.room);
  long double total = 0;
  for (const Units x : task.lengths) total += static_cast<long double>(x);
  std::size_t bound = std::max<std::size_t>(1, rounded_up(total, room));
  if (task.lengths.size() > 20000) return bound;
  std::vector<Units> thresholds;
  for (const Units x : task.lengths)
    if (2 * x <= task.room && (thresholds.empty() || thresholds.back() != x)) thresholds.push_back(x);
  const std::size_t step = thresholds.size() / kMostThresholds + 1;
  for (Units k = 1; k <= 20; ++k)
    bound = std::max(bound, rounded_up(sum_u(task.lengths, task.room, k, 0), room));
  for (std::size_t i = 0; i < thresholds.size(); i += step) {
    for (Units k = 1; k <= 6; ++k)
      bound = std::max(bound, rounded_up(sum_u(task.lengths, task.room, k, thresholds[i]), room));
    bound = std::max(bound, rounded_up(sum_phi(task.lengths, task.room, thresholds[i]), 1));
  }
  return bound;
}

namespace {

/// Which items are worth most in one bin: branch and bound on worth a unit.
class Knapsack {
 public:
  Knapsack(const std::vector<LengthClass>& classes, const std::vector<double>& worth, Units room,
           std::int64_t steps)
      : classes_(classes), worth_(worth), steps_(steps) {
    for (std::size_t i = 0; i < classes.size(); ++i)
      if (worth[i] > 1e-12) order_.push_back(i);
    const auto rate = [&](std::size_t i) { return worth[i] / static_cast<double>(classes[i].length); };
    std::stable_sort(order_.begin(), order_.end(),
                     [&](std::size_t a, std::size_t b) { return rate(a) > rate(b); });
    shortest_.assign(order_.size() + 1, std::numeric_limits<Units>::max());
    for (std::size_t k = order_.size(); k-- > 0;)
      shortest_[k] = std::min(shortest_[k + 1], classes[order_[k]].length);
    now_.assign(classes.size(), 0);
    best_ = now_;
    go(0, room, 0);
  }
  double value() const { return best_value_; }
  bool complete() const { return steps_ > 0; }
  const std::vector<int>& best() const { return best_; }

 private:
  Units most(std::size_t i, Units room) const {
    return std::min(static_cast<Units>(classes_[i].items.size()), room / classes_[i].length);
  }

  /// What the rest could bring if the last item could be cut.
  double hope(std::size_t k, Units room) const {
    double value = 0;
    for (; k < order_.size() && room > 0; ++k) {
      const std::size_t i = order_[k];
      const Units take = most(i, room);
      value += static_cast<double>(take) * worth_[i];
      room -= take * classes_[i].length;
      if (take < static_cast<Units>(classes_[i].items.size()))
        return value + static_cast<double>(room) * worth_[i] / static_cast<double>(classes_[i].length);
    }
    return value;
  }

  void go(std::size_t k, Units room, double value) {
    if (value > best_value_ + 1e-10) best_value_ = value, best_ = now_;
    if (--steps_ <= 0) return;
    for (; k < order_.size() && shortest_[k] <= room; ++k) {
      if (value + hope(k, room) <= best_value_ + 1e-9) return;
      const std::size_t i = order_[k];
      for (Units n = most(i, room); n >= 1; --n) {
        now_[i] = static_cast<int>(n);
        go(k + 1, room - n * classes_[i].length, value + static_cast<double>(n) * worth_[i]);
        now_[i] = 0;
        if (steps_ <= 0) return;
      }
    }
  }

  std::span<const LengthClass> classes_;
  std::span<const double> worth_;
  std::vector<std::size_t> order_;
  std::vector<Units> shortest_;
  std::vector<int> now_, best_;
  double best_value_ = 0;
  std::int64_t steps_;
};

/// No bin holds more worth than this: lengths are rounded down to cells of the room, so that what fits still
/// fits.
double most_worth(const std::vector<LengthClass>& classes, const std::vector<double>& worth, Units room) {
  const auto copies = [&](const LengthClass& c) {
    return std::min(static_cast<Units>(c.items.size()), room / c.length);
  };
  Units all = 0;
  for (const LengthClass& c : classes) all += copies(c);
  const Units cells = std::clamp(kCellSteps / std::max<Units>(all, 1), Units{1000}, kMostCells);
  const Units cell = std::max<Units>(1, room / cells);
  std::vector<double> most(static_cast<std::size_t>(room / cell) + 1, 0.0);
  for (std::size_t c = 0; c < classes.size(); ++c) {
    if (worth[c] <= 0) continue;
    const auto size = static_cast<std::size_t>(classes[c].length / cell);
    for (Units n = copies(classes[c]); n > 0; --n)
      for (std::size_t at = most.size(); at-- > size;)
        most[at] = std::max(most[at], most[at - size] + worth[c]);
  }
  return most.back();
}

/// The relaxation in which patterns may be used in fractions: revised simplex with the inverse kept whole.
class Relaxation {
 public:
  Relaxation(const std::vector<LengthClass>& classes, Units room, std::size_t enough, int steps)
      : classes_(classes), room_(room) {
    start();
    int thorough = kThorough;
    for (int i = 0; i < steps; ++i) {
      const std::vector<double> worth = duals();
      Knapsack best(classes_, worth, room_, kKnapsackSteps);
      if (best.value() <= 1 + 1e-7 && !best.complete() && thorough-- > 0)
        best = Knapsack(classes_, worth, room_, kThoroughSteps);
      const bool last = best.value() <= 1 + 1e-7 || i + 1 == steps;
      if (best.complete())
        take_bound(worth, best.value());
      else if (last)
        take_bound(worth, most_worth(classes_, worth, room_));
      if (last || bound() >= enough || !bring_in(best.best())) return;
    }
  }
  std::size_t bound() const { return static_cast<std::size_t>(std::ceil(bound_ - 1e-6)); }
  const std::vector<std::vector<int>>& patterns() const { return patterns_; }
  const std::vector<double>& uses() const { return uses_; }

 private:
  void start() {
    const std::size_t m = classes_.size();
    inverse_.assign(m, std::vector<double>(m, 0));
    patterns_.assign(m, std::vector<int>(m, 0));
    uses_.assign(m, 0);
    for (std::size_t i = 0; i < m; ++i) {
      const auto wanted = static_cast<Units>(classes_[i].items.size());
      const Units a = std::min(wanted, room_ / classes_[i].length);
      patterns_[i][i] = static_cast<int>(a);
      inverse_[i][i] = 1 / static_cast<double>(a);
      uses_[i] = static_cast<double>(wanted) / static_cast<double>(a);
    }
  }
  /// Scaled so that no pattern is worth more than 1, the worths of all items bound the number of bins from
  /// below.
  void take_bound(const std::vector<double>& worth, double most) {
    double sum = 0;
    for (std::size_t c = 0; c < worth.size(); ++c)
      sum += static_cast<double>(classes_[c].items.size()) * std::max(0.0, worth[c]);
    bound_ = std::max(bound_, sum / std::max(1.0, most));
  }
  std::vector<double> duals() const {
    std::vector<double> out(classes_.size(), 0);
    for (const auto& row : inverse_)
      for (std::size_t c = 0; c < row.size(); ++c) out[c] += row[c];
    return out;
  }
  bool bring_in(const std::vector<int>& pattern) {
    const std::size_t m = classes_.size();
    std::vector<double> w(m, 0);
    for (std::size_t c = 0; c < m; ++c)
      if (pattern[c] != 0)
        for (std::size_t r = 0; r < m; ++r) w[r] += inverse_[r][c] * pattern[c];
    std::size_t out = m;
    double step = std::numeric_limits<double>::infinity();
    for (std::size_t r = 0; r < m; ++r) {
      if (w[r] <= 1e-9) continue;
      const double t = uses_[r] / w[r];
      if (t < step - 1e-12 || (t < step + 1e-12 && w[r] > w[out])) step = t, out = r;
    }
    if (out == m) return false;
    for (std::size_t r = 0; r < m; ++r)
      if (r != out) uses_[r] = std::max(0.0, uses_[r] - step * w[r]);
    uses_[out] = step;
    for (double& v : inverse_[out]) v /= w[out];
    for (std::size_t r = 0; r < m; ++r)
      if (r != out && w[r] != 0)
        for (std::size_t c = 0; c < m; ++c) inverse_[r][c] -= w[r] * inverse_[out][c];
    patterns_[out] = pattern;
    return true;
  }

  const std::vector<LengthClass>& classes_;
  Units room_;
  std::vector<std::vector<double>> inverse_;
  std::vector<std::vector<int>> patterns_;
  std::vector<double> uses_;
  double bound_ = 0;
};

bool fits(const std::vector<int>& pattern, const std::vector<LengthClass>& classes) {
  for (std::size_t c = 0; c < pattern.size(); ++c)
    if (static_cast<std::size_t>(pattern[c]) > classes[c].items.size()) return false;
  return true;
}

/// Takes over the patterns that are used most; what they hold leaves the classes. False where none could be.
bool take_over(const Relaxation& relaxed, std::vector<LengthClass>& classes, Packing& bins) {
  std::vector<std::size_t> order(relaxed.patterns().size());
  double total = 0;
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i, total += relaxed.uses()[i];
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return relaxed.uses()[a] > relaxed.uses()[b]; });
  const auto wanted = static_cast<std::size_t>(std::max(1.0, kTaken * total));
  std::size_t taken = 0;
  for (const std::size_t p : order) {
    if (relaxed.uses()[p] < 1e-9 || taken >= wanted) break;
    const std::vector<int>& pattern = relaxed.patterns()[p];
    for (int times = std::max(1, static_cast<int>(relaxed.uses()[p] + 1e-9));
         times > 0 && fits(pattern, classes); --times, ++taken) {
      bins.emplace_back();
      for (std::size_t c = 0; c < pattern.size(); ++c)
        for (int n = 0; n < pattern[c]; ++n) {
          bins.back().push_back(classes[c].items.back());
          classes[c].items.pop_back();
        }
    }
  }
  std::erase_if(classes, [](const LengthClass& c) { return c.items.empty(); });
  return taken > 0;
}

}  // namespace

void generate_patterns(const PackTask& task, Packing& best, std::size_t& bound) {
  std::vector<LengthClass> classes;
  for (std::uint32_t i = 0; i < task.lengths.size(); ++i) {
    if (classes.empty() || classes.back().length != task.lengths[i]) classes.push_back({task.lengths[i], {}});
    classes.back().items.push_back(i);
  }
  Packing bins;
  for (bool first = true; !classes.empty(); first = false) {
    const Relaxation relaxed(classes, task.room,
                             first ? best.size() : std::numeric_limits<std::size_t>::max(),
                             first ? kMostSteps : kMostSteps / 4);
    if (first) bound = std::max(bound, relaxed.bound());
    if (best.size() <= bound) return;
    if (bins.size() + relaxed.bound() >= best.size()) return;
    if (!take_over(relaxed, classes, bins)) return;
    std::vector<std::uint32_t> rest;
    for (const LengthClass& c : classes) rest.insert(rest.end(), c.items.begin(), c.items.end());
    std::sort(rest.begin(), rest.end());
    Packing whole = bins;
    for (auto& bin : least_slack(task, rest, 20000)) whole.push_back(std::move(bin));
    if (whole.size() < best.size()) best = std::move(whole);
    if (best.size() <= bound) return;
  }
}

}  // namespace deckmark::cut_detail
