#include "stages/stake.h"

#include <algorithm>

#include "stages/along_runs.h"

namespace deckmark {

namespace {

/// Marks of one level that the lists hold, with their runs.
struct Level {
  StakeLevel which = StakeLevel::floor;
  std::vector<std::uint32_t> marks, runs;
  std::vector<Point<Site>> points;
};

/// A way through all levels, each from where the last one ended.
struct Way {
  std::vector<std::vector<std::size_t>> orders;  // of every level
  Length length = Length::metres(0);
};

class StakeMaker {
 public:
  /// `with_setup`: what the baselines share with it, where they hang on one net.
  StakeMaker(const StakeInput& input, const LaidOut& laid, const SetupResult& setup, const CrewShare& share,
             std::optional<BaselinesWithSetup> with_setup)
      : input_(input),
        with_setup_(with_setup),
        laid_(laid),
        marks_(laid.marks),
        setup_(setup),
        share_(share),
        options_(input.instrument.stake) {
    options_.tolerance = input.plan_tolerance;
    if (marks_.supports < marks_.size()) along_ = along_runs(marks_, laid.overhead, input.runs);
  }

  StakeList make(const std::vector<std::uint32_t>& control) const {
    StakeList out;
    for (const std::uint32_t c : control) out.lines.push_back(control_line(c));
    std::vector<Level> levels{level(StakeLevel::floor)};
    if (laid_.heights.has_deck()) levels.push_back(level(StakeLevel::deck));
    std::erase_if(levels, [](const Level& l) { return l.marks.empty(); });
    const Way by_run = way(levels, walk_by_run);
    Way shortest = way(levels, walk_shortest);
    // The shortest way over the floor may end far from where the deck is best begun.
    if (by_run.length < shortest.length) shortest = by_run;
    const bool walks = input_.instrument.order == StakeOrder::walk;
    const Way &used = walks ? shortest : by_run, &other = walks ? by_run : shortest;
    for (std::size_t i = 0; i < levels.size(); ++i) lines(levels[i], used.orders[i], out);
    out.walk = used.length, out.other_walk = other.length;
    for (const std::uint32_t c : control) out.lines.push_back(control_line(c));
    return out;
  }

 private:
  StakeLine line(StakeLevel level, std::uint32_t index, const Point<Site>& at,
                 std::optional<Elevation> elevation) const {
    StakePoint point{at, elevation, level, std::nullopt};
    if (with_setup_ && level != StakeLevel::control)
      point.place = place_share(laid_.placed.fit, marks_->places[index], *with_setup_, setup_.at);
    return {level, index, stake(setup_, point, index, options_, input_.instrument.options)};
  }
  StakeLine control_line(std::uint32_t c) const {
    return line(StakeLevel::control, c, input_.control[c].at, input_.control[c].elevation);
  }

  /// Supports of trapezes stand behind all other marks of their run: they are walked in their place along it.
  void put_in_order(std::vector<std::uint32_t>& marks) const {
    if (along_.empty()) return;
    std::vector<std::vector<std::uint32_t>> runs(marks_->runs.words().size());
    for (const std::uint32_t m : marks)
      if (const std::uint32_t run = marks_->runs.number(m); run != 0) runs[run].push_back(m);
    for (auto& run : runs) sort_along(run, along_);
    std::vector<std::size_t> next(runs.size(), 0);
    for (std::uint32_t& m : marks)
      if (const std::uint32_t run = marks_->runs.number(m); run != 0) m = runs[run][next[run]++];
  }

  Level level(StakeLevel which) const {
    Level l{which, {}, {}, {}};
    if (!share_.does(which == StakeLevel::deck ? CrewWork::deck : CrewWork::floor)) return l;
    for (std::uint32_t m = 0; m < marks_.size(); ++m) {
      if (!share_.has(m) || !is_listed(*marks_, input_.only, m)) continue;
      if (which == StakeLevel::deck && !laid_.heights.is_lifted(m)) continue;
      l.marks.push_back(m);
    }
    put_in_order(l.marks);
    for (const std::uint32_t m : l.marks) {
      l.runs.push_back(marks_->runs.number(m));
      l.points.push_back(laid_.placed.marks[m]);
    }
    return l;
  }

  /// REQUIRES levels that have marks.
  template <class Walker>
  Way way(const std::vector<Level>& levels, Walker walker) const {
    Way out;
    Point<Site> from = setup_.at;
    for (const Level& l : levels) {
      Walk walk = walker(l.points, l.runs, from);
      out.length += walk.length;
      from = l.points[walk.order.back()];
      out.orders.push_back(std::move(walk.order));
    }
    return out;
  }

  void lines(const Level& l, const std::vector<std::size_t>& order, StakeList& out) const {
    for (const std::size_t i : order) {
      const std::uint32_t m = l.marks[i];
      const auto elevation =
          l.which == StakeLevel::deck ? laid_.heights.at(m).deck : std::optional(laid_.heights.floor());
      out.lines.push_back(line(l.which, m, l.points[i], elevation));
    }
  }

  const StakeInput& input_;
  std::optional<BaselinesWithSetup> with_setup_;
  const LaidOut& laid_;
  const JobMarks& marks_;
  const SetupResult& setup_;
  const CrewShare& share_;
  StakeOptions options_;
  std::vector<std::optional<Length>> along_;  ///< with supports
};

}  // namespace

bool has_stakes(const SetupFound& setup) {
  return setup.result.status == SetupStatus::solved && setup.result.orientation;
}

StakeList stake_list(const StakeInput& input, const SetupFound& setup, const LaidOut& laid,
                     const CrewShare& share) {
  if (!has_stakes(setup)) return {};
  std::vector<std::uint32_t> control;
  for (const Sight& s : setup.reduction.sights) {
    const TargetMeaning& target = setup.targets[s.target];
    if (target.role == TargetRole::control && std::ranges::find(control, target.index) == control.end())
      control.push_back(target.index);
  }
  return StakeMaker(input, laid, setup.result, share, laid.placed.in_net.with_setup(setup.setup))
      .make(control);
}

StakeList planned_list(const StakeInput& input, const PlanFound& plan, const LaidOut& laid) {
  const CrewShare all;
  return StakeMaker(input, laid, plan.setup, all, std::nullopt).make({});
}

bool is_listed(const MarkTable& marks, const std::vector<std::string>& only, std::size_t mark) {
  return only.empty() || std::ranges::any_of(only, [run = marks.runs[mark]](const std::string& name) {
           return same_name(name, run);
         });
}

}  // namespace deckmark
