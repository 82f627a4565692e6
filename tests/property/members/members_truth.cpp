#include "members_truth.h"

#include <algorithm>
#include <cmath>

namespace deckmark_test {

namespace {

constexpr double kDegree = 3.14159265358979323846 / 180;
constexpr double kJoins = 0.001;   // ends nearer than this meet
constexpr double kClear = 0.03;    // those that do not stay further off than this
constexpr double kMargin = 0.002;  // a meeting of members further than this from where a member ends
constexpr double kFar = 2.2;       // beyond this from a meeting two runs have nothing to do with one another

using Kind = TrueMeeting::Kind;

double end_place(const StatedRun& run, End end) { return end == kStart ? 0 : run.line.length(); }
/// Outward along the run.
double outward(End end) { return end == kStart ? -1 : 1; }
bool may_join(const StatedRun& run, End end) { return run.end[end] != "free" && run.end[end] != "wall"; }

/// Works out one group.
class Finder {
 public:
  Finder(const RunGroup& group, const RunsWorld& world) : runs_(group.runs), world_(world) {}

  GroupTruth find() {
    for (std::size_t i = 0; i < runs_.size(); ++i)
      for (std::size_t j = i + 1; j < runs_.size(); ++j)
        if (std::abs(runs_[i].height - runs_[j].height) <= kJoins) meet(i, j);
    for (std::size_t i = 0; i < runs_.size(); ++i) make_members(i);
    for (std::size_t m = 0; m < out_.members.size() && out_.unclear.empty(); ++m) find_ends(m);
    for (std::size_t i = 0; i < runs_.size(); ++i)
      for (std::size_t j = i + 1; j < runs_.size() && out_.unclear.empty(); ++j) members_meet(i, j);
    for (TrueMember& m : out_.members) mark_ends(m);
    return std::move(out_);
  }

 private:
  /// The meeting of one of a T's members with the other run's.
  struct EndMeeting {
    std::size_t cut, through;  // members
    double along_cut, along_through;
  };

  void unclear(const std::string& why) {
    if (out_.unclear.empty()) out_.unclear = why;
  }

  Beside middle(std::size_t i) const { return {runs_[i].line, 0}; }

  // Runs.

  void meet(std::size_t i, std::size_t j) {
    const std::size_t before = out_.meetings.size();
    std::vector<Spot> touched;  // where an end comes to the other run, joined or not
    if (!runs_[i].is_ring() && !runs_[j].is_ring())
      for (const End e : {kStart, kFinish})
        for (const End f : {kStart, kFinish}) meet_in_corner(i, e, j, f, touched);
    for (const auto& [a, b] : {std::pair{i, j}, std::pair{j, i}})
      if (!runs_[a].is_ring())
        for (const End e : {kStart, kFinish}) meet_in_tee(a, e, b, touched);
    cross_over(i, j, touched);
    for (std::size_t m = before; m < out_.meetings.size(); ++m)
      if (out_.meetings[before].kind == Kind::corner && out_.meetings[m].kind != Kind::corner)
        return unclear("a corner of runs that meet elsewhere too");
    for (std::size_t m = before; m < out_.meetings.size(); ++m)
      touched.push_back(runs_[out_.meetings[m].first].line.at(out_.meetings[m].along_first));
    keep_apart(i, j, touched);
    keep_apart(j, i, touched);
  }

  void meet_in_corner(std::size_t i, End e, std::size_t j, End f, std::vector<Spot>& touched) {
    const Spot a = runs_[i].line.at(end_place(runs_[i], e)), b = runs_[j].line.at(end_place(runs_[j], f));
    const double off = distance(a, b);
    if (off > kClear) return;
    if (off > kJoins * 0.9) return unclear("ends that nearly meet");
    touched.push_back(a);
    if (!may_join(runs_[i], e) || !may_join(runs_[j], f)) return;
    // Both ways lead away from the corner.
    const Spot u = -outward(e) * runs_[i].line.way(end_place(runs_[i], e));
    const Spot v = -outward(f) * runs_[j].line.way(end_place(runs_[j], f));
    out_.meetings.push_back({Kind::corner, i, j, e, f, end_place(runs_[i], e), end_place(runs_[j], f),
                             std::atan2(std::abs(cross(u, v)), dot(u, v)) / kDegree, off, 0});
  }

  void meet_in_tee(std::size_t i, End e, std::size_t j, std::vector<Spot>& touched) {
    const double at = end_place(runs_[i], e), length = runs_[j].line.length();
    const Spot end = runs_[i].line.at(at);
    if (is_near(end, touched, kJoins)) return;  // a corner
    double along = middle(j).nearest(end, 0, length);
    const double off = distance(end, runs_[j].line.at(along));
    if (off > 0.15) return;
    touched.push_back(end);
    if (off > kClear) return;
    if (off > kJoins * 0.9) return unclear("an end that nearly meets a run");
    if (!runs_[j].is_ring() && (along < 0.8 || along > length - 0.8)) return unclear("a T near an end");
    if (!may_join(runs_[i], e)) return;
    if (along > length - 1e-7 && runs_[j].is_ring()) along = 0;
    const double sine = std::abs(cross(runs_[i].line.way(at), runs_[j].line.way(along)));
    if (sine < 0.35) return unclear("a T at a sharp angle");
    out_.meetings.push_back(
        {Kind::tee, i, j, e, kStart, at, along, std::asin(std::min(1.0, sine)) / kDegree, off, j});
  }

  void cross_over(std::size_t i, std::size_t j, const std::vector<Spot>& touched) {
    std::vector<Spot> found;  // a ring's beginning is found from both sides
    for (const Meeting& m : deckmark_test::meetings(middle(i), whole(i), middle(j), whole(j))) {
      const Spot at = runs_[i].line.at(m.first);
      if (is_near(at, touched, 5 * kJoins) || is_near(at, found, kJoins)) continue;
      found.push_back(at);
      if (m.sine < 0.3) return unclear("runs that cross at a sharp angle");
      const auto near_end = [](const StatedRun& run, double along) {
        return !run.is_ring() && std::min(along, run.line.length() - along) < kClear;
      };
      if (near_end(runs_[i], m.first) || near_end(runs_[j], m.second))
        return unclear("a crossing near an end");
      const bool first_is_cut = runs_[i].cut_by == j;
      out_.meetings.push_back({Kind::crossing, i, j, kStart, kStart, m.first, m.second,
                               std::asin(std::min(1.0, m.sine)) / kDegree, 0, first_is_cut ? j : i});
    }
  }
  Window whole(std::size_t i) const { return {0, runs_[i].line.length()}; }

  /// Away from where they meet, two runs pass so far off that no member comes near to one of the other.
  void keep_apart(std::size_t i, std::size_t j, const std::vector<Spot>& touched) {
    const double room = (runs_[i].separation + runs_[j].separation) / 2 + 0.12;
    const std::vector<Spot> others = stepped(j);
    for (const Spot at : stepped(i)) {
      if (is_near(at, touched, kFar)) continue;
      if (is_near(at, others, room)) return unclear("runs that pass near one another");
    }
  }
  std::vector<Spot> stepped(std::size_t i) const {
    std::vector<Spot> out;
    for (double along = 0; along <= runs_[i].line.length(); along += 0.1)
      out.push_back(runs_[i].line.at(along));
    return out;
  }
  static bool is_near(Spot spot, const std::vector<Spot>& others, double room) {
    return std::any_of(others.begin(), others.end(), [&](Spot o) { return distance(o, spot) < room; });
  }

  // Members.

  void make_members(std::size_t i) {
    const StatedRun& run = runs_[i];
    const auto add = [&](double left, const std::string& name) {
      TrueMember& m = out_.members.emplace_back();
      m.run = i, m.name = name, m.line = {run.line, left}, m.to = run.line.length();
      m.site_left = (left > 0) != world_.mirrored;
    };
    if (!run.is_pair()) return add(0, "");
    const double half = run.separation / 2, paper_left = world_.mirrored ? -half : half;
    if (run.kind == "line") {
      add(paper_left, "left");
      add(-paper_left, "right");
      return;
    }
    // Inside is where the middle of the bend lies: there the way is shorter.
    const bool left_is_inside = Beside{run.line, half}.length(0, 1) < 1;
    add(left_is_inside ? half : -half, "inside");
    add(left_is_inside ? -half : half, "outside");
  }

  std::vector<const TrueMeeting*> at_end(std::size_t i, End e) const {
    std::vector<const TrueMeeting*> found;
    for (const TrueMeeting& m : out_.meetings) {
      if (m.kind == Kind::crossing) continue;
      if ((m.first == i && m.end_first == e) ||
          (m.kind == Kind::corner && m.second == i && m.end_second == e))
        found.push_back(&m);
    }
    return found;
  }

  void find_ends(std::size_t index) {
    TrueMember& m = out_.members[index];
    const StatedRun& run = runs_[m.run];
    if (run.is_ring()) return;
    for (const End e : {kStart, kFinish}) {
      const auto met = at_end(m.run, e);
      m.end[e] = run.end[e] == "wall" ? "wall" : met.empty() ? "free" : "joined";
      double& place = e == kStart ? m.from : m.to;
      const auto& beyond = run.beyond[e][m.site_left ? 0 : 1];
      if (run.is_pair() && beyond)
        place = m.line.after(place, outward(e) * *beyond);
      else if (met.size() == 1 && met[0]->kind == Kind::corner)
        end_in_corner(m, e, *met[0], place);
      else if (met.size() == 1)
        end_on_run(index, e, *met[0], place);
    }
    if (m.to - m.from < 0.8) unclear("a short member");
  }

  /// The meeting nearest to a spot, where it is clear which; marks the group unclear where there is none.
  std::optional<Meeting> nearest_meeting(const Beside& a, double near_a, const Beside& b, double near_b,
                                         Spot to) {
    const double reach = 1.8;
    auto all =
        deckmark_test::meetings(a, {near_a - reach, near_a + reach}, b, {near_b - reach, near_b + reach});
    if (all.empty()) {
      unclear("members that do not meet");
      return std::nullopt;
    }
    const auto off = [&](const Meeting& m) { return distance(a.at(m.first), to); };
    std::sort(all.begin(), all.end(), [&](const Meeting& x, const Meeting& y) { return off(x) < off(y); });
    if (all.size() > 1 && off(all[1]) < 1.5 * off(all[0]) + 0.01) unclear("two meetings equally near");
    return all[0];
  }

  void end_in_corner(TrueMember& m, End e, const TrueMeeting& met, double& place) {
    const bool is_first = met.first == m.run;
    const std::size_t other = is_first ? met.second : met.first;
    const End f = is_first ? met.end_second : met.end_first;
    if (!runs_[m.run].is_pair() && runs_[other].is_pair()) return;
    if (met.angle > 179.5) return;  // straight on
    if (met.angle > 176) return unclear("a corner that is nearly straight");
    // Who walks through the corner leaves this run by its end and enters the other by its own: a hand stays
    // the same hand, but not of a run that is walked from its finish.
    const double hand = m.line.left * outward(e);
    const double half = runs_[other].separation / 2;
    const double other_left = m.line.left == 0 ? 0 : std::copysign(half, hand * -outward(f));
    const double other_place = end_place(runs_[other], f);
    const auto meeting = nearest_meeting(m.line, place, {runs_[other].line, other_left}, other_place,
                                         runs_[m.run].line.at(place));
    if (meeting) place = meeting->first;
  }

  void end_on_run(std::size_t index, End e, const TrueMeeting& met, double& place) {
    TrueMember& m = out_.members[index];
    const RunLine &run = runs_[m.run].line, &wall = runs_[met.second].line;
    const Spot at = wall.at(met.along_second), within = run.at(place - outward(e) * 0.05);
    const double side = cross(wall.way(met.along_second), within - at) > 0 ? 1 : -1;
    const double left = side * runs_[met.second].separation / 2;
    const auto meeting = nearest_meeting(m.line, place, {wall, left}, met.along_second, at);
    if (!meeting) return;
    for (std::size_t t = 0; t < out_.members.size(); ++t)
      if (out_.members[t].run == met.second && out_.members[t].line.left == left)
        end_meetings_.push_back({index, t, meeting->first, on_ring(met.second, meeting->second)});
    place = m.line.after(meeting->first, -outward(e) * world_.member_width / 2 / meeting->sine);
  }
  /// A place on a ring as its measure has it.
  double on_ring(std::size_t run, double along) const {
    if (!runs_[run].is_ring()) return along;
    const double length = runs_[run].line.length();
    return along < -1e-9 ? along + length : along > length + 1e-9 ? along - length : along;
  }

  // Meetings of members.

  void members_meet(std::size_t i, std::size_t j) {
    std::vector<const TrueMeeting*> met;
    for (const TrueMeeting& m : out_.meetings)
      if (m.kind != Kind::corner && std::minmax(m.first, m.second) == std::minmax(i, j)) met.push_back(&m);
    if (met.empty()) return;
    for (std::size_t a = 0; a < out_.members.size(); ++a)
      for (std::size_t b = 0; b < out_.members.size(); ++b)
        if (out_.members[a].run == i && out_.members[b].run == j) cross_members(a, b, met);
    for (const EndMeeting& e : end_meetings_) {
      TrueMember& on = out_.members[e.through];
      if (std::minmax(on.run, out_.members[e.cut].run) != std::minmax(i, j)) continue;
      if (e.along_through < on.from + kMargin || e.along_through > on.to - kMargin)
        if (!runs_[on.run].is_ring()) unclear("a T where the other member ends");
      on.marks.push_back({both_single(i, j) ? "crossing" : "notch", e.along_through});
      out_.cuts.push_back({on.run, out_.members[e.cut].run});
    }
  }
  bool both_single(std::size_t i, std::size_t j) const { return !runs_[i].is_pair() && !runs_[j].is_pair(); }

  void cross_members(std::size_t a, std::size_t b, const std::vector<const TrueMeeting*>& met) {
    TrueMember &m = out_.members[a], &n = out_.members[b];
    const auto window = [&](const TrueMember& of) {
      return runs_[of.run].is_ring() ? Window{of.from, of.to} : Window{of.from - 0.05, of.to + 0.05};
    };
    std::vector<Meeting> all = deckmark_test::meetings(m.line, window(m), n.line, window(n));
    std::vector<Spot> seen;  // a ring's beginning is found from both sides
    for (const Meeting& x : all) {
      const Spot at = m.line.at(x.first);
      if (is_end_meeting(a, b, at)) continue;
      if (std::any_of(seen.begin(), seen.end(), [&](Spot s) { return distance(s, at) < 1e-5; })) continue;
      seen.push_back(at);
      const int in_m = inside(m, x.first), in_n = inside(n, x.second);
      if (in_m < 0 || in_n < 0) continue;
      if (in_m == 0 || in_n == 0) return unclear("members that meet where one ends");
      if (x.sine < 0.2) return unclear("members that meet at a sharp angle");
      const bool first_goes_through = through_at(at, met) == m.run;
      const std::string through = both_single(m.run, n.run) ? "crossing" : "notch";
      m.marks.push_back({first_goes_through ? through : "crossing", x.first});
      n.marks.push_back({first_goes_through ? "crossing" : through, x.second});
      out_.cuts.push_back({first_goes_through ? m.run : n.run, first_goes_through ? n.run : m.run});
    }
  }
  bool is_end_meeting(std::size_t a, std::size_t b, Spot at) const {
    return std::any_of(end_meetings_.begin(), end_meetings_.end(), [&](const EndMeeting& e) {
      return std::minmax(e.cut, e.through) == std::minmax(a, b) &&
             distance(out_.members[e.cut].line.at(e.along_cut), at) < 1e-5;
    });
  }
  /// 1 within, -1 beyond its ends, 0 where a hair would change it.
  int inside(const TrueMember& m, double along) const {
    if (runs_[m.run].is_ring()) return 1;
    if (along < m.from - kMargin || along > m.to + kMargin) return -1;
    return along > m.from + kMargin && along < m.to - kMargin ? 1 : 0;
  }
  /// The run that goes through where the meeting of the runs is nearest.
  std::size_t through_at(Spot at, const std::vector<const TrueMeeting*>& met) {
    const auto off = [&](const TrueMeeting* t) {
      return distance(runs_[t->first].line.at(t->along_first), at);
    };
    const TrueMeeting* best = met[0];
    for (const TrueMeeting* t : met)
      if (off(t) < off(best)) best = t;
    for (const TrueMeeting* t : met)
      if (t->through != best->through && off(t) < 2 * off(best)) unclear("a meeting of two rules");
    return best->through;
  }

  void mark_ends(TrueMember& m) const {
    if (runs_[m.run].is_ring()) return;
    m.marks.push_back({"end", m.from});
    m.marks.push_back({"end", m.to});
  }

  const std::vector<StatedRun>& runs_;
  const RunsWorld& world_;
  GroupTruth out_;
  std::vector<EndMeeting> end_meetings_;
};

}  // namespace

GroupTruth truth_of(const RunGroup& group, const RunsWorld& world) { return Finder(group, world).find(); }

}  // namespace deckmark_test
