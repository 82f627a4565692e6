#include <algorithm>

#include "work/along_runs.h"
#include "work/output_tables.h"
#include "work/stages.h"

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
  StakeMaker(const Job& job, const Found& found, const SetupResult& setup)
      : job_(job), found_(found), setup_(setup), options_(job.instrument.stake) {
    options_.tolerance = job.asbuilt.options.plan;
    if (found.overhead.supports < job.marks.size()) along_ = along_runs(job, found);
  }

  StakeList make(const std::vector<std::uint32_t>& control) const {
    StakeList out;
    if (!has_site_place(job_)) return out;
    for (const std::uint32_t c : control) out.lines.push_back(control_line(c));
    std::vector<Level> levels{level(StakeLevel::floor)};
    if (found_.deck) levels.push_back(level(StakeLevel::deck));
    std::erase_if(levels, [](const Level& l) { return l.marks.empty(); });
    const Way by_run = way(levels, walk_by_run);
    Way shortest = way(levels, walk_shortest);
    // The shortest way over the floor may end far from where the deck is best begun.
    if (by_run.length < shortest.length) shortest = by_run;
    const bool walks = job_.instrument.order == StakeOrder::walk;
    const Way &used = walks ? shortest : by_run, &other = walks ? by_run : shortest;
    for (std::size_t i = 0; i < levels.size(); ++i) lines(levels[i], used.orders[i], out);
    out.walk = used.length, out.other_walk = other.length;
    for (const std::uint32_t c : control) out.lines.push_back(control_line(c));
    return out;
  }

 private:
  StakeLine line(StakeLevel level, std::uint32_t index, const Point<Site>& at,
                 std::optional<Elevation> elevation) const {
    return {level, index, stake(setup_, {at, elevation, level}, index, options_, job_.instrument.options)};
  }
  StakeLine control_line(std::uint32_t c) const {
    return line(StakeLevel::control, c, job_.control[c].at, job_.control[c].elevation);
  }

  /// Supports of trapezes stand behind all other marks of their run: they are walked in their place along it.
  void put_in_order(std::vector<std::uint32_t>& marks) const {
    if (along_.empty()) return;
    std::vector<std::vector<std::uint32_t>> runs(job_.marks.runs.words().size());
    for (const std::uint32_t m : marks)
      if (const std::uint32_t run = job_.marks.runs.number(m); run != 0) runs[run].push_back(m);
    for (auto& run : runs) sort_along(run, along_);
    std::vector<std::size_t> next(runs.size(), 0);
    for (std::uint32_t& m : marks)
      if (const std::uint32_t run = job_.marks.runs.number(m); run != 0) m = runs[run][next[run]++];
  }

  Level level(StakeLevel which) const {
    Level l{which, {}, {}, {}};
    for (std::uint32_t m = 0; m < job_.marks.size(); ++m) {
      if (!is_listed(job_, m) || (which == StakeLevel::deck && !has_deck_point(job_, found_, m))) continue;
      l.marks.push_back(m);
    }
    put_in_order(l.marks);
    for (const std::uint32_t m : l.marks) {
      l.runs.push_back(job_.marks.runs.number(m));
      l.points.push_back(found_.placed.marks[m]);
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
          l.which == StakeLevel::deck ? heights_at(job_, found_, m).deck : std::optional(floor_of(job_));
      out.lines.push_back(line(l.which, m, l.points[i], elevation));
    }
  }

  const Job& job_;
  const Found& found_;
  const SetupResult& setup_;
  StakeOptions options_;
  std::vector<std::optional<Length>> along_;  ///< with supports
};

}  // namespace

StakeList stake_list(const Job& job, const Found& found, std::size_t setup) {
  const SetupFound& f = *found.instrument.setups[setup];
  if (f.result.status != SetupStatus::solved || !f.result.orientation) return {};
  std::vector<std::uint32_t> control;
  for (const Sight& s : f.reduction.sights) {
    const TargetMeaning& target = f.targets[s.target];
    if (target.role == TargetRole::control && std::ranges::find(control, target.index) == control.end())
      control.push_back(target.index);
  }
  return StakeMaker(job, found, f.result).make(control);
}

StakeList planned_list(const Job& job, const Found& found, std::size_t setup) {
  return StakeMaker(job, found, found.instrument.plans[setup]->setup).make({});
}

}  // namespace deckmark
