// Readings and benchmarks that the others contradict.
#include <algorithm>
#include <cmath>

#include "adjust/statistics.h"
#include "heights/height_net.h"

namespace deckmark::levelling {

namespace {

constexpr std::size_t kMost = 8;  // named in one job
/// Falls of the square sum nearer than this cannot be told apart: where the true one falls behind, which is
/// likeliest where both are equal in expectation but for this much, it does so by more once in a thousand
/// (difference of two falls: normal, mean m, variance 4 m).
constexpr double kAsGood = 9;
constexpr double kAlike = 1e-3;     // share of a standardised residual that is rounding
constexpr double kEqual = 2e-6;     // of a fall: one that is less by no more is as large
constexpr double kRounding = 1e-8;  // metres

class Search {
 public:
  Search(const HeightReadings& readings, const Net& net)
      : readings_(readings), net_(net), aside_(net.items(), false), told_(net.items(), false) {}

  std::vector<WrongHeight> run(const Adjustment& first) {
    std::vector<WrongHeight> out;
    std::optional<Adjustment> refitted;
    const Adjustment* now = &first;
    std::vector<std::optional<Test>> tests = test_all(first);
    limit_ = wrong_limit(static_cast<std::size_t>(std::count_if(
        tests.begin(), tests.end(), [](const std::optional<Test>& t) { return t.has_value(); })));
    for (; out.size() < kMost; tests = test_all(*now)) {
      const auto item = first_suspect(tests);
      if (!item) break;
      aside_[*item] = told_[*item] = true;
      refitted.emplace(net_, aside_);
      now = &*refitted;
      out.push_back(describe(*item, *tests[*item]));
      for (std::size_t k = 0; k < tests.size(); ++k) {
        if (told_[k] || !tests[k] || !is_alike(fall(*item, *tests[*item]), fall(k, *tests[k]))) continue;
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

  bool is_torn(std::size_t item) const {
    return net_.is_observation(item) && net_.observations[item].is_torn();
  }
  /// A pair of housings that say the same: hardly both are wrong alike.
  bool is_agreeing_pair(std::size_t item) const {
    return net_.is_observation(item) && net_.observations[item].is_pair() && !is_torn(item);
  }

  /// What an error of the item would take off the square sum. Of a torn pair, one of whose readings may be
  /// off, it takes off what parts the two as well: as far as one error explains that and their mean.
  double fall(std::size_t item, const Test& test) const {
    const double square = test.standardised * test.standardised;
    if (!is_torn(item) || test.standardised == 0) return square;
    const Observation& o = net_.observations[item];
    const double error = 2 * std::abs(test.error), sd = error / std::abs(test.standardised);
    const double apart = std::abs(o.apart), gap = error - apart;
    return square + std::max(0.0, apart * apart / (o.apart_sd * o.apart_sd) -
                                      gap * gap / (sd * sd + o.apart_sd * o.apart_sd));
  }

  bool is_over(std::size_t item, const std::optional<Test>& test) const {
    return test && !told_[item] && std::abs(test->standardised) > limit_;
  }

  std::optional<std::size_t> first_suspect(const std::vector<std::optional<Test>>& tests) const {
    const auto out = worst(tests);
    if (!out || !is_agreeing_pair(*out)) return out;
    // What explains it nearly as well is likelier than a pair that agrees.
    const double most = fall(*out, *tests[*out]);
    std::optional<std::size_t> best;
    double best_fall = 0;
    for (std::size_t k = 0; k < tests.size(); ++k) {
      if (!is_over(k, tests[k]) || is_agreeing_pair(k)) continue;
      const double one = fall(k, *tests[k]);
      if (!is_alike(most, one) || one <= best_fall) continue;
      best = k;
      best_fall = one;
    }
    return best ? best : out;
  }

  /// What explains most, over the limit; of what is equal a benchmark, which is looked up at a desk.
  std::optional<std::size_t> worst(const std::vector<std::optional<Test>>& tests) const {
    double most = 0;
    for (std::size_t k = 0; k < tests.size(); ++k)
      if (is_over(k, tests[k])) most = std::max(most, fall(k, *tests[k]));
    std::optional<std::size_t> out;
    for (std::size_t k = 0; k < tests.size(); ++k) {
      if (!is_over(k, tests[k]) || fall(k, *tests[k]) < (1 - kEqual) * most) continue;
      if (!out || (!net_.is_observation(k) && net_.is_observation(*out))) out = k;
    }
    return out;
  }

  static bool is_alike(double worst, double other) {
    return std::sqrt(other) >= (1 - kAlike) * std::sqrt(worst) || other >= worst - kAsGood;
  }

  WrongHeight describe(std::size_t item, const Test& test) const {
    const Stated name = net_.stated(item);
    // An observation is standing less target: a reading to a target above the beam goes the other way.
    const double side = name.first == WrongHeight::What::laser ? side_of(readings_.laser[name.second]) : 1.0;
    WrongHeight out{name.first, name.second, Length::metres(side * test.error), side * test.standardised, {}};
    add_turned(item, out);
    return out;
  }

  void add_alike(std::size_t item, WrongHeight& out) const {
    out.alike.push_back(net_.stated(item));
    add_turned(item, out);
  }

  void add_turned(std::size_t item, WrongHeight& out) const {
    if (is_torn(item)) out.alike.emplace_back(WrongHeight::What::laser, *net_.observations[item].turned);
  }

  const HeightReadings& readings_;
  const Net& net_;
  double limit_ = 0;
  std::vector<bool> aside_, told_;
};

/// By item: all that is wrong or alike, and what closures and pairs outside are made of.
std::vector<bool> suspects(const Net& net, const HeightsResult& result) {
  std::vector<bool> aside(net.items(), false);
  for (const WrongHeight& w : result.wrong) {
    aside[net.item_of({w.what, w.index})] = true;
    for (const Stated& other : w.alike) aside[net.item_of(other)] = true;
  }
  // What a closure is made of, unless something wrong in it is told already.
  const std::vector<bool> wrong = aside;
  const auto suspect = [&](const std::vector<std::size_t>& items) {
    if (std::none_of(items.begin(), items.end(), [&](std::size_t i) { return wrong[i]; }))
      for (const std::size_t i : items) aside[i] = true;
  };
  for (const HeightLine& line : result.lines) {
    if (line.is_within()) continue;
    std::vector<std::size_t> items;
    for (const HeightLine::Leg& leg : line.legs)
      items.insert(items.end(), {net.of_level[leg.back], net.of_level[leg.fore]});
    suspect(items);
  }
  for (const PlaneClosure& p : result.planes)
    if (!p.is_within()) suspect({net.of_laser[p.first], net.of_laser[p.second]});
  for (const HousingTilt& t : result.tilts)
    if (!t.is_within()) suspect({net.of_laser[t.straight]});
  return aside;
}

}  // namespace

void mark_contradicted(const Net& net, const Adjustment& adjustment, HeightsResult& result) {
  const std::vector<bool> aside = suspects(net, result);
  const std::size_t lasers = net.stations - net.setups;
  result.beam_is_contradicted.assign(lasers, false);
  if (std::find(aside.begin(), aside.end(), true) == aside.end()) return;
  const Adjustment rest(net, aside);
  const auto hangs = [](std::optional<double> all, std::optional<double> left, double sd) {
    return all && (!left || std::abs(*left - *all) > std::max(kRounding, kSds95 * sd));
  };
  for (std::size_t t = 0; t < net.targets; ++t) {
    const auto mark = net.benchmark_of[t];
    result.targets[t].is_contradicted =
        (mark && aside[net.item_of_benchmark(*mark)]) ||
        hangs(adjustment.target(t), rest.target(t), result.targets[t].sd.metres());
  }
  for (std::size_t l = 0; l < lasers; ++l) {
    const std::size_t s = net.setups + l;
    result.beam_is_contradicted[l] = hangs(adjustment.station(s), rest.station(s), adjustment.station_sd(s));
  }
}

std::vector<WrongHeight> find_wrong_heights(const HeightReadings& readings, const Net& net,
                                            const Adjustment& adjustment) {
  return Search(readings, net).run(adjustment);
}

}  // namespace deckmark::levelling
