#include <algorithm>

#include "work/along_runs.h"
#include "work/output_tables.h"
#include "work/stages.h"

namespace deckmark {

namespace {

/// Marks of one level that the lists hold, with their runs, and the rows to them.
struct Level {
  std::vector<std::uint32_t> marks, runs;
  std::vector<Point<Site>> points;
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
    for (const std::uint32_t c : control) out.lines.push_back(control_line(c));
    Point<Site> from = setup_.at, other_from = setup_.at;
    level(StakeLevel::floor, out, from, other_from);
    if (found_.deck) level(StakeLevel::deck, out, from, other_from);
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

  /// Adds one level, walked from where the last one ended.
  void level(StakeLevel which, StakeList& out, Point<Site>& from, Point<Site>& other_from) const {
    Level l;
    for (std::uint32_t m = 0; m < job_.marks.size(); ++m) {
      if (!is_listed(job_, m) || (which == StakeLevel::deck && !has_deck_point(job_, found_, m))) continue;
      l.marks.push_back(m);
    }
    if (l.marks.empty()) return;
    put_in_order(l.marks);
    for (const std::uint32_t m : l.marks) {
      l.runs.push_back(job_.marks.runs.number(m));
      l.points.push_back(found_.placed.marks[m]);
    }
    Walk used = walk_by_run(l.points, l.runs, from), other = walk_shortest(l.points, other_from);
    if (job_.instrument.order == StakeOrder::walk) {
      used = walk_shortest(l.points, from);
      other = walk_by_run(l.points, l.runs, other_from);
    }
    for (const std::size_t i : used.order) {
      const std::uint32_t m = l.marks[i];
      const auto elevation =
          which == StakeLevel::deck ? heights_at(job_, found_, m).deck : std::optional(floor_of(job_));
      out.lines.push_back(line(which, m, l.points[i], elevation));
    }
    out.walk += used.length;
    out.other_walk += other.length;
    from = l.points[used.order.back()];
    other_from = l.points[other.order.back()];
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
