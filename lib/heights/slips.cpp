// Slips of the pen that explain what lines and planes close to.
//
// Every slip at every place of a closure that is outside is a hypothesis: which readings it changes and by
// how much is known, nothing is fitted to it. It stands where what it leaves of the square sum is not much
// more than what the best one leaves. A slip is told where what it leaves of the closure is within the limit;
// a place is named only where all that stands, also what is left just beyond the limit, is in that one place,
// and nothing around it is wrong any more.
#include <algorithm>
#include <cmath>
#include <map>
#include <set>
#include <span>

#include "heights/height_net.h"

namespace deckmark::levelling {

namespace {

constexpr double kFoot = Length::feet(1).metres();
struct Step {
  HeightSlip slip;
  double size;
};
constexpr Step kMetricSteps[] = {
    {HeightSlip::hundred_millimetres, 0.1}, {HeightSlip::metre, 1.0}, {HeightSlip::foot, kFoot}};
constexpr Step kFootSteps[] = {{HeightSlip::foot, kFoot}, {HeightSlip::inch, kFoot / 12}};
// Slips are so large that what contradicts them does so by far. These are wide, so that none that may be true
// is ruled out where a crew reads worse than its sd says.
constexpr double kAsGood = 100;     // of the square sum
constexpr double kMostScatter = 9;  // variance factor that is believed; beyond it something else is wrong
constexpr double kReach = 5;        // sds of a closure within which a slip that is not told still competes
constexpr std::size_t kMost = 3;    // told of one closure

using What = WrongHeight::What;

struct Part {
  Stated stated;
  double factor = 0;
};
struct Closure {
  double value = 0, limit = 0;
  double reach = 0;  // beyond the limit, what noise may leave
  bool is_line = false;
  std::size_t index = 0;
  std::vector<Part> parts;
  bool is_outside() const { return std::abs(value) > limit; }
};
struct Hypothesis {
  HeightSlip slip = HeightSlip::metre;
  std::vector<std::pair<Stated, double>> errors;  // stated less true, never none
  std::optional<std::size_t> setup;
  std::optional<Stated> reading;
  double left = 0;
  double square_sum = 0;  // that is left around it

  bool is_of_benchmark() const { return errors.front().first.first == What::benchmark; }
};

void sort_once(std::vector<std::size_t>& numbers) {
  std::sort(numbers.begin(), numbers.end());
  numbers.erase(std::unique(numbers.begin(), numbers.end()), numbers.end());
}

class SlipFinder {
 public:
  SlipFinder(const HeightReadings& readings, const HeightOptions& options, const Net& net,
             const Adjustment& adjustment, const HeightsResult& result)
      : readings_(readings),
        net_(net),
        adjustment_(adjustment),
        result_(result),
        sd_(options.reading_sd.metres()),
        limit_(options.loop_limit.value_or(kShortLimit)),
        other_unit_(options.staff_in_feet ? 1 / kFoot : kFoot),
        steps_(options.staff_in_feet ? std::span<const Step>(kFootSteps) : kMetricSteps) {
    for (std::size_t i = 0; i < result.lines.size(); ++i) add_line(i);
    for (std::size_t i = 0; i < result.planes.size(); ++i) add_plane(i);
    of_setup_.resize(readings.setups);
    for (std::size_t i = 0; i < readings.level.size(); ++i) of_setup_[readings.level[i].setup].push_back(i);
  }

  std::vector<SlipOfHeight> run() {
    for (const Closure& c : closures_)
      if (c.is_outside()) explain(c);
    for (const WrongHeight& w : result_.wrong)
      if (w.what != What::benchmark && !is_explained(w)) explain(w);
    return std::move(slips_);
  }

 private:
  /// What an error of what was stated is of its item.
  ItemError item_error(const Stated& of, double error) const {
    const std::size_t item = net_.item_of(of);
    if (of.first != What::laser) return {item, error};
    const double share = net_.observations[item].is_pair() ? 0.5 : 1;
    return {item, share * side_of(readings_.laser[of.second]) * error};
  }

  void add_benchmark(std::size_t target, double factor, Closure& c, double& variance) const {
    const auto b = net_.benchmark_of[target];
    if (!b) return;
    c.parts.push_back({{What::benchmark, *b}, factor});
    if (const auto& sd = readings_.benchmarks[*b].sd) variance += sd->metres() * sd->metres();
  }

  void add_line(std::size_t index) {
    const HeightLine& line = result_.lines[index];
    if (!line.closure) return;
    Closure c{line.closure->metres(), line.limit.metres(), 0, true, index, {}};
    double variance = 2 * static_cast<double>(line.legs.size()) * sd_ * sd_;
    for (const HeightLine::Leg& leg : line.legs) {
      c.parts.push_back({{What::level, leg.back}, 1});
      c.parts.push_back({{What::level, leg.fore}, -1});
    }
    if (line.from != line.to) {
      add_benchmark(line.from, 1, c, variance);
      add_benchmark(line.to, -1, c, variance);
    }
    c.reach = std::max(c.limit, kReach * std::sqrt(variance));
    closures_.push_back(std::move(c));
  }

  void add_plane(std::size_t index) {
    const PlaneClosure& plane = result_.planes[index];
    Closure c{plane.closure.metres(), plane.limit.metres(), 0, false, index, {}};
    const bool is_same = readings_.laser[plane.first].target == readings_.laser[plane.second].target;
    double variance = 0;
    for (const auto& [reading, sign] : {std::pair(plane.second, 1.0), std::pair(plane.first, -1.0)}) {
      const Observation& o = net_.observations[net_.of_laser[reading]];
      // Two readings of one target share the tilt of the plane there.
      variance += is_same ? sd_ * sd_ : o.sd * o.sd;
      const double factor = sign * side_of(readings_.laser[reading]);
      c.parts.push_back({{What::laser, reading}, o.turned && !is_same ? factor / 2 : factor});
      if (o.turned && !is_same)
        c.parts.push_back({{What::laser, *o.turned}, sign * side_of(readings_.laser[*o.turned]) / 2});
      if (!is_same) add_benchmark(readings_.laser[reading].target, sign, c, variance);
    }
    c.reach = std::max(c.limit, kReach * std::sqrt(variance));
    closures_.push_back(std::move(c));
  }

  void explain(const Closure& c) {
    std::vector<Hypothesis> all;
    add_steps(c, all);
    if (c.is_line) add_setup_slips(result_.lines[c.index], all);
    std::erase_if(all, [&](const Hypothesis& h) {
      return std::abs(after(c, h)) > c.reach || pair_change(h) > kAsGood;
    });
    if (all.empty()) return;
    for (Hypothesis& h : all) judge(c, h);
    keep_the_best(all);
    tell(c, all);
  }

  /// A reading, or a benchmark, that is off by a round number.
  void add_steps(const Closure& c, std::vector<Hypothesis>& all) const {
    for (const Step& step : steps_)
      for (const Part& p : c.parts) {
        const double error = std::copysign(step.size, c.value * p.factor);
        if (std::abs(c.value - p.factor * error) > c.reach) continue;
        Hypothesis h;
        h.slip = step.slip;
        h.errors = {{p.stated, error}};
        if (!h.is_of_benchmark()) h.reading = p.stated;
        if (p.stated.first == What::level) h.setup = readings_.level[p.stated.second].setup;
        all.push_back(std::move(h));
      }
  }

  void add_setup_slips(const HeightLine& line, std::vector<Hypothesis>& all) const {
    std::vector<std::size_t> done;
    for (const HeightLine::Leg& leg : line.legs) {
      const LevelReading& back = readings_.level[leg.back];
      const LevelReading& fore = readings_.level[leg.fore];
      if (!fore.is_back) {
        const double off = (back.reading - fore.reading).metres();
        all.push_back({HeightSlip::exchanged,
                       {{{What::level, leg.back}, off}, {{What::level, leg.fore}, -off}},
                       back.setup,
                       {},
                       0,
                       0});
      }
      if (std::find(done.begin(), done.end(), back.setup) != done.end()) continue;
      done.push_back(back.setup);
      Hypothesis h{HeightSlip::read_in_feet, {}, back.setup, {}, 0, 0};
      for (const std::size_t i : of_setup_[back.setup])
        if (result_.is_level_checked(i))  // the rest says nothing of it
          h.errors.emplace_back(Stated(What::level, i),
                                readings_.level[i].reading.metres() * (1 - other_unit_));
      if (!h.errors.empty()) all.push_back(std::move(h));
    }
  }

  static double after(const Closure& c, const Hypothesis& h) {
    double value = c.value;
    for (const Part& p : c.parts)
      for (const auto& [stated, error] : h.errors)
        if (stated == p.stated) value -= p.factor * error;
    return value;
  }

  void judge(const Closure& c, Hypothesis& h) {
    h.left = after(c, h);
    // A benchmark may stand in many closures, and be read by many.
    if (h.errors.size() == 1) {
      const auto [seen, is_new] = judged_.try_emplace(h.errors[0]);
      if (is_new) seen->second = square_sum_without(h);
      h.square_sum = seen->second;
    } else {
      h.square_sum = square_sum_without(h);
    }
    h.square_sum += torn_sum(c) + pair_change(h);
  }

  /// Squares of the differences of the torn pairs of housings in a closure: while one is left no place is
  /// named.
  double torn_sum(const Closure& c) const {
    double sum = 0;
    for (const Part& p : c.parts) {
      if (p.stated.first != What::laser) continue;
      const Observation& o = net_.observations[net_.item_of(p.stated)];
      if (o.is_torn() && o.reading == p.stated.second) sum += o.apart * o.apart / (o.apart_sd * o.apart_sd);
    }
    return sum;
  }

  /// What a slip in one reading of a pair of housings does to the square of their difference: where they
  /// agree neither can be far off alone.
  double pair_change(const Hypothesis& h) const {
    if (!h.reading || h.reading->first != What::laser) return 0;
    const std::size_t i = h.reading->second;
    const Observation& o = net_.observations[net_.of_laser[i]];
    if (!o.is_pair()) return 0;
    const double by = (o.turned == i ? 1 : -1) * side_of(readings_.laser[i]) * h.errors[0].second;
    return ((o.apart - by) * (o.apart - by) - o.apart * o.apart) / (o.apart_sd * o.apart_sd);
  }

  double square_sum_without(const Hypothesis& h) const {
    std::map<std::size_t, double> errors;  // by item: a pair of housings is one
    for (const auto& [stated, error] : h.errors) {
      const ItemError e = item_error(stated, error);
      errors[e.item] += e.error;
    }
    std::vector<ItemError> list;
    for (const auto& [item, error] : errors) list.push_back({item, error});
    return adjustment_.square_sum_without(list);
  }

  /// Leaves what stands: nearly as good as the best. Where readings scatter more than their sd says, or more
  /// is wrong than this one slip, so do the square sums, and less is ruled out.
  void keep_the_best(std::vector<Hypothesis>& all) const {
    double best = all.front().square_sum;
    for (const Hypothesis& h : all) best = std::min(best, h.square_sum);
    const double scatter = std::max(1.0, factor_of(all.front(), best));
    std::erase_if(all, [&](const Hypothesis& h) { return h.square_sum > best + kAsGood * scatter; });
  }

  /// Variance factor around the place of a slip.
  double factor_of(const Hypothesis& h, double square_sum) const {
    const std::size_t spare = adjustment_.degrees_around(net_.item_of(h.errors.front().first));
    return square_sum / static_cast<double>(std::max<std::size_t>(spare, 1));
  }

  /// With the slip put right nothing around it is wrong any more.
  bool mends_all(const Hypothesis& h) const { return factor_of(h, h.square_sum) <= kMostScatter; }

  void tell(const Closure& c, const std::vector<Hypothesis>& all) {
    std::vector<SlipOfHeight> told;
    for (const Hypothesis& h : all) {
      if (h.is_of_benchmark() || std::abs(h.left) > c.limit) continue;
      auto same =
          std::find_if(told.begin(), told.end(), [&](const SlipOfHeight& s) { return s.slip == h.slip; });
      if (same == told.end()) {
        SlipOfHeight s;
        s.slip = h.slip;
        (c.is_line ? s.line : s.plane) = c.index;
        s.is_laser = !c.is_line;
        s.left = Length::metres(h.left);
        same = told.insert(told.end(), s);
      }
      if (std::abs(h.left) < std::abs(same->left.metres())) same->left = Length::metres(h.left);
      if (h.setup) same->setups.push_back(*h.setup);
    }
    bool one_setup = true, one_reading = true;
    for (const Hypothesis& h : all) {
      const bool is_good = mends_all(h);
      one_setup = one_setup && is_good && h.setup && h.setup == all.front().setup;
      one_reading = one_reading && is_good && h.reading && h.reading == all.front().reading;
    }
    for (SlipOfHeight& s : told) {
      sort_once(s.setups);
      if (one_setup) s.setup = all.front().setup;
      if (one_reading) s.reading = all.front().reading->second;
    }
    std::stable_sort(told.begin(), told.end(),
                     [](const SlipOfHeight& a, const SlipOfHeight& b) { return abs(a.left) < abs(b.left); });
    if (told.size() > kMost) told.resize(kMost);
    if (!told.empty())
      for (const Part& p : c.parts) explained_.insert(p.stated);
    slips_.insert(slips_.end(), told.begin(), told.end());
  }

  /// Whether a closure through the reading, or through one that is alike, is told already.
  bool is_explained(const WrongHeight& w) const {
    return explained_.contains({w.what, w.index}) ||
           std::any_of(w.alike.begin(), w.alike.end(), [&](const Stated& other) {
             return other.first != What::benchmark && explained_.contains(other);
           });
  }

  void explain(const WrongHeight& w) {
    const bool is_laser = w.what == What::laser;
    // One reading of a torn pair is off by twice what their mean is, of one that agrees both are.
    const Observation& o = net_.observations[net_.item_of({w.what, w.index})];
    const double error = w.error.metres() * (o.is_torn() ? 2 : 1);
    for (const Step& step : steps_) {
      const double left = error - std::copysign(step.size, error);
      if (std::abs(left) > limit_.metres()) continue;
      SlipOfHeight s;
      s.slip = step.slip;
      s.is_laser = is_laser;
      s.left = Length::metres(left);
      if (!is_laser) s.setups = {readings_.level[w.index].setup};
      bool one_setup = !is_laser;
      for (const auto& [what, index] : w.alike) {
        const bool is_level = what == What::level;
        one_setup = one_setup && is_level && readings_.level[index].setup == s.setups[0];
        if (is_level) s.setups.push_back(readings_.level[index].setup);
      }
      if (one_setup) s.setup = s.setups[0];
      if (w.alike.empty() && !o.is_pair()) s.reading = w.index;
      sort_once(s.setups);
      slips_.push_back(std::move(s));
    }
  }

  const HeightReadings& readings_;
  const Net& net_;
  const Adjustment& adjustment_;
  const HeightsResult& result_;
  double sd_;
  Length limit_;
  double other_unit_;
  std::span<const Step> steps_;
  std::vector<Closure> closures_;
  std::set<Stated> explained_;  // in a closure of which a slip is told
  std::vector<std::vector<std::size_t>> of_setup_;
  std::map<std::pair<Stated, double>, double> judged_;
  std::vector<SlipOfHeight> slips_;
};

}  // namespace

std::vector<SlipOfHeight> find_slips(const HeightReadings& readings, const HeightOptions& options,
                                     const Net& net, const Adjustment& adjustment,
                                     const HeightsResult& result) {
  return SlipFinder(readings, options, net, adjustment, result).run();
}

}  // namespace deckmark::levelling
