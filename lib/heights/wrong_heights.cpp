// Readings and benchmarks that the others contradict.
#include <algorithm>
#include <cmath>

#include "heights/height_net.h"

namespace deckmark::levelling {

namespace {

constexpr std::size_t kMost = 8;  // named in one job
/// Falls of the square sum nearer than this cannot be told apart: where the true one falls behind, which is
/// likeliest where both are equal in expectation but for this much, it does so by more once in a thousand
/// (difference of two falls: normal, mean m, variance 4 m).
constexpr double kAsGood = 9;
constexpr double kAlike = 1e-3;  // share of a standardised residual that is rounding

using Item = std::pair<WrongHeight::What, std::size_t>;

Item named(const Net& net, std::size_t item) {
  if (item >= net.observations.size())
    return Item(WrongHeight::What::benchmark, item - net.observations.size());
  return Item(net.observations[item].what, net.observations[item].reading);
}

class Search {
 public:
  Search(const HeightReadings& readings, const Net& net, double limit)
      : readings_(readings),
        net_(net),
        limit_(limit),
        aside_(net.items(), false),
        told_(net.items(), false) {}

  std::vector<WrongHeight> run(const Adjustment& first) {
    std::vector<WrongHeight> out;
    std::optional<Adjustment> refitted;
    const Adjustment* now = &first;
    while (out.size() < kMost) {
      const std::vector<std::optional<Test>> tests = test_all(*now);
      const auto item = worst(tests);
      if (!item) break;
      aside_[*item] = told_[*item] = true;
      refitted.emplace(net_, aside_);
      now = &*refitted;
      out.push_back(describe(*item, *tests[*item]));
      for (std::size_t k = 0; k < tests.size(); ++k) {
        if (told_[k] || !tests[k] || !is_alike(*tests[*item], *tests[k])) continue;
        // As large by chance only, where it is as large without the other.
        if (const auto left = now->test(k); left && std::abs(left->standardised) > limit_) continue;
        told_[k] = true;
        add_alike(k, out.back());
      }
    }
    return out;
  }

 private:
  std::vector<std::optional<Test>> test_all(const Adjustment& now) const {
    std::vector<std::optional<Test>> out(net_.items());
    for (std::size_t k = 0; k < out.size(); ++k)
      if (!aside_[k]) out[k] = now.test(k);
    return out;
  }

  /// The largest over the limit; of those that are equal a benchmark, which is looked up at a desk.
  std::optional<std::size_t> worst(const std::vector<std::optional<Test>>& tests) const {
    double most = limit_;
    for (std::size_t k = 0; k < tests.size(); ++k)
      if (tests[k] && !told_[k]) most = std::max(most, std::abs(tests[k]->standardised));
    if (most <= limit_) return std::nullopt;
    std::optional<std::size_t> out;
    for (std::size_t k = 0; k < tests.size(); ++k) {
      if (!tests[k] || told_[k] || std::abs(tests[k]->standardised) < (1 - 1e-6) * most) continue;
      const bool is_benchmark = k >= net_.observations.size();
      if (!out || (is_benchmark && *out < net_.observations.size())) out = k;
    }
    return out;
  }

  static bool is_alike(const Test& worst, const Test& other) {
    const double w = std::abs(worst.standardised), o = std::abs(other.standardised);
    return o >= (1 - kAlike) * w || o * o >= w * w - kAsGood;
  }

  WrongHeight describe(std::size_t item, const Test& test) const {
    const Item name = named(net_, item);
    // An observation is standing less target: a reading to a target above the beam goes the other way.
    const double side = name.first == WrongHeight::What::laser ? side_of(readings_.laser[name.second]) : 1.0;
    WrongHeight out{name.first, name.second, Length::metres(side * test.error), side * test.standardised, {}};
    add_turned(item, out);
    return out;
  }

  void add_alike(std::size_t item, WrongHeight& out) const {
    out.alike.push_back(named(net_, item));
    add_turned(item, out);
  }

  void add_turned(std::size_t item, WrongHeight& out) const {
    if (item < net_.observations.size() && net_.observations[item].turned)
      out.alike.emplace_back(WrongHeight::What::laser, *net_.observations[item].turned);
  }

  const HeightReadings& readings_;
  const Net& net_;
  double limit_;
  std::vector<bool> aside_, told_;
};

}  // namespace

std::size_t count_checked(const Net& net, const Adjustment& adjustment) {
  std::size_t n = 0;
  for (std::size_t k = 0; k < net.items(); ++k)
    if (adjustment.test(k)) ++n;
  return n;
}

std::vector<WrongHeight> find_wrong_heights(const HeightReadings& readings, const Net& net,
                                            const Adjustment& adjustment, double limit) {
  return Search(readings, net, limit).run(adjustment);
}

}  // namespace deckmark::levelling
