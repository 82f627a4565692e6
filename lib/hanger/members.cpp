#include "hanger/members.h"

#include <algorithm>
#include <cmath>
#include <tuple>

#include "measure/verdict.h"
#include "plane/plane_vector.h"

namespace deckmark {

namespace {

constexpr Length kZero = Length::metres(0);
/// Deflections with a smaller sine are none: both members are square there.
constexpr double kStraightOn = 1e-6;
/// Members that meet further off than this times half a separation run almost alongside: 57 is a meeting at 1
/// degree.
constexpr double kFarthest = 100;

using plane_detail::of;

double cross(const Vec<Drawing>& a, const Vec<Drawing>& b) { return plane_detail::cross(of(a), of(b)); }

/// Above zero where an arc or ring turns to the left on paper, 0 on a line.
int hand_of(const Path& run) {
  if (run.is_straight()) return 0;
  return cross(run.direction_at(kZero), *run.centre() - run.at(kZero)) > 0 ? 1 : -1;
}

/// What a member's length is over that of its run's line; nothing where the curve has no room for it.
std::optional<double> stretch_of(const Path& run, Length left) {
  if (run.is_straight()) return 1;
  const Length radius = *run.radius() - static_cast<double>(hand_of(run)) * left;
  if (radius <= Length::millimetres(1)) return std::nullopt;
  return radius / *run.radius();
}

/// The side on site of a parallel that lies `left` of a run's way on paper.
MemberSide side_of(const Path& run, Length left, bool mirrored) {
  if (left == kZero) return MemberSide::single;
  const bool is_left = left > kZero;
  if (run.is_straight()) return is_left != mirrored ? MemberSide::left : MemberSide::right;
  return is_left == (hand_of(run) > 0) ? MemberSide::inside : MemberSide::outside;
}

/// What is taken off a member that ends on another at an angle (0 to 90 degrees).
Length end_trim(Length member_width, Angle at) {
  const double sine = std::sin(at.radians());
  return sine > kStraightOn ? member_width / 2.0 / sine : kZero;
}

/// The whole curve on which a member lies.
std::optional<Path> curve_of(const Path& run, Length left) { return run.parallel(left, kZero, run.length()); }

class Maker {
 public:
  explicit Maker(const MemberTask& task) : task_(task) {}

  MembersResult make() && {
    for (std::size_t r = 0; r < task_.runs.size(); ++r) lay(r);
    out_.begins.push_back(out_.members.size());
    order_hanging();
    for (std::size_t c = 0; c < task_.met.places.size(); ++c) {
      if (task_.met.places[c].is_corner()) end_in_corner(c);
      if (task_.met.places[c].is_tee()) end_on_other(c);
    }
    for (std::size_t m = 0; m < out_.members.size(); ++m) reach_as_stated(m);
    for (std::size_t m = 0; m < out_.members.size(); ++m)
      if (out_.members[m].length() <= Length::millimetres(1)) out_.no_length.push_back(m);
    if (out_.no_length.empty()) meet();
    return std::move(out_);
  }

 private:
  const Path& path(std::size_t run) const { return task_.runs[run].path; }

  void lay(std::size_t r) {
    out_.begins.push_back(out_.members.size());
    const Length half = task_.separations[r] / 2.0;
    std::vector<Member> mine;
    for (const Length left : half > kZero ? std::vector{half, -half} : std::vector{kZero}) {
      const auto stretch = stretch_of(path(r), left);
      if (!stretch) {
        out_.no_room.push_back(r);
        return;
      }
      const RunEnds& ends = task_.met.ends[r];
      mine.push_back({r, side_of(path(r), left, task_.mirrored), left, kZero, path(r).length(),
                      left != kZero && (left > kZero) != task_.mirrored, *stretch, ends.start, ends.finish});
    }
    std::sort(mine.begin(), mine.end(), [](const Member& a, const Member& b) { return a.side < b.side; });
    out_.members.insert(out_.members.end(), mine.begin(), mine.end());
  }

  /// Where a line is hung from: the run that it meets first along it, corners apart.
  void order_hanging() {
    std::vector<const Crossing*> first(task_.runs.size(), nullptr);
    const auto along = [](const Crossing& c, std::size_t run) {
      return c.first == run ? c.along_first : c.along_second;
    };
    for (const Crossing& c : task_.met.places)
      for (const std::size_t run : {c.first, c.second})
        if (!c.is_corner() && (!first[run] || along(c, run) < along(*first[run], run))) first[run] = &c;
    for (Member& m : out_.members) {
      if (m.side == MemberSide::outside) m.order = HangFirst::second;
      if (!path(m.run).is_straight()) continue;
      const Crossing* met = first[m.run];
      m.order = met ? HangFirst::from : HangFirst::middle;
      if (met) m.from_run = met->first == m.run ? met->second : met->first;
    }
  }

  /// The place nearest to `to` at which the whole curve of a member meets another curve, `aside` of its run.
  /// Nothing where they run so much alike that it lies out of all proportion.
  std::optional<Point<Drawing>> meeting(const Member& m, const Path& other, Length aside,
                                        const Point<Drawing>& to) const {
    const auto curve = curve_of(path(m.run), m.left);
    if (!curve) return std::nullopt;
    std::optional<Point<Drawing>> best;
    for (const Point<Drawing>& p : whole_meetings(*curve, other, kRunJoin))
      if (!best || distance(p, to) < distance(*best, to)) best = p;
    const Length most = kFarthest * std::max(abs(m.left), abs(aside)) + 10.0 * kRunJoin;
    if (best && distance(*best, to) > most) best.reset();
    return best;
  }

  static Length& end_of(Member& m, AtEnd end) { return end == AtEnd::start ? m.from : m.to; }

  void end_in_corner(std::size_t c) {
    const Crossing& at = task_.met.places[c];
    if (at.is_crowded) return;
    end_at_partner(c, at.first, *at.first_end, at.second, *at.second_end);
    end_at_partner(c, at.second, *at.second_end, at.first, *at.first_end);
  }
  void end_at_partner(std::size_t c, std::size_t run, AtEnd end, std::size_t partner, AtEnd its) {
    const Crossing& at = task_.met.places[c];
    if (task_.separations[run] <= kZero) return;  // its line ends in the corner itself
    // As one walks through the corner the way goes on along the partner; that turns the hand of a run
    // that is walked from its finish.
    if (std::abs(cross(leaving(path(run), end), leaving(path(partner), its))) < kStraightOn &&
        at.angle.degrees() > 90)
      return;
    const double hand = end == AtEnd::finish ? 1 : -1, its_hand = its == AtEnd::start ? 1 : -1;
    for (std::size_t m = out_.begins[run]; m < out_.begins[run + 1]; ++m) {
      Member& member = out_.members[m];
      const double walked = (member.left > kZero ? 1 : -1) * hand;
      const Length aside = task_.separations[partner] / 2.0 * (walked * its_hand);
      const auto other = curve_of(path(partner), aside);
      const auto place = other ? meeting(member, *other, aside, at.at) : std::nullopt;
      if (place)
        end_of(member, end) = path(run).whole_along(*place, end == AtEnd::start ? kZero : path(run).length());
      else if (out_.open_corners.empty() || out_.open_corners.back() != c)
        out_.open_corners.push_back(c);
    }
  }

  /// The member of a run that is nearer to what comes from one of its sides.
  const Member& nearer(std::size_t through, std::size_t cut, AtEnd end, Length on_through) const {
    const auto members = out_.of(through);
    if (members.size() < 2) return members[0];
    const Path& a = path(cut);
    double side = cross(path(through).direction_at(on_through), leaving(a, end));
    if (std::abs(side) < kStraightOn) {  // it touches: a little further on it lies on one side
      const Length back = std::min(0.25 * a.length(), Length::metres(0.5));
      const Point<Drawing> p = a.at(end == AtEnd::start ? back : a.length() - back);
      const Length foot = path(through).whole_along(p, on_through);
      side = cross(path(through).direction_at(foot), p - path(through).at(foot));
    }
    return (members[0].left > kZero) == (side > 0) ? members[0] : members[1];
  }

  void end_on_other(std::size_t c) {
    const Crossing& at = task_.met.places[c];
    const std::size_t cut = at.cut(), through = *at.through;
    const AtEnd end = at.first_end ? *at.first_end : *at.second_end;
    const Length on_through = through == at.first ? at.along_first : at.along_second;
    if (out_.of(through).empty()) return;
    const Member& on = nearer(through, cut, end, on_through);
    const auto other = curve_of(path(through), on.left);
    for (std::size_t m = out_.begins[cut]; m < out_.begins[cut + 1]; ++m) {
      Member& member = out_.members[m];
      const auto place = other ? meeting(member, *other, on.left, at.at) : std::nullopt;
      if (!place) {
        if (out_.open_corners.empty() || out_.open_corners.back() != c) out_.open_corners.push_back(c);
        continue;
      }
      const Length own_end = end == AtEnd::start ? kZero : path(cut).length();
      const Length foot = path(cut).whole_along(*place, own_end),
                   its = round_ring(through, path(through).whole_along(*place, on_through));
      const Angle angle = angle_between(path(cut).direction_at(foot), path(through).direction_at(its));
      const Length trim = end_trim(task_.member_width, angle) / member.stretch;
      const Length to = end == AtEnd::start ? foot + trim : foot - trim;
      // Of two members that it ends on the one that it meets first.
      Length& is = end_of(member, end);
      const bool is_first = is == own_end;
      if (!is_first && (end == AtEnd::start ? to <= is : to >= is)) continue;
      is = to;
      std::erase_if(ended_, [&](const Ended& e) { return e.cut == m && e.end == end; });
      ended_.push_back({c, m, end, static_cast<std::size_t>(&on - out_.members.data()), foot, its});
    }
  }

  void reach_as_stated(std::size_t m) {
    Member& member = out_.members[m];
    if (member.side == MemberSide::single || path(member.run).is_closed()) return;
    const StatedReach& says = task_.reaches[member.run];
    const auto &start = member.is_left ? says.start_left : says.start_right,
               &finish = member.is_left ? says.finish_left : says.finish_right;
    if (start) member.from = -*start / member.stretch;
    if (finish) member.to = path(member.run).length() + *finish / member.stretch;
    std::erase_if(ended_, [&](const Ended& e) {
      return e.cut == m && (e.end == AtEnd::start ? start.has_value() : finish.has_value());
    });
  }

  // --- meetings of members ---

  /// A member that ends on another, its own place where their lines meet.
  struct Ended {
    std::size_t crossing, cut;
    AtEnd end;
    std::size_t through;
    Length on_cut, on_through;
  };

  void meet() {
    std::vector<Length> reach(task_.runs.size(), kZero);  // how far members of a run go beyond its box
    for (const Member& m : out_.members)
      reach[m.run] = std::max({reach[m.run], abs(m.left) + std::max(kZero, -m.from),
                               abs(m.left) + std::max(kZero, m.to - path(m.run).length())});
    for (const Ended& e : ended_)
      if (out_.members[e.through].reaches(e.on_through))
        out_.meetings.push_back({e.crossing, e.through, e.cut, e.on_through, e.on_cut,
                                 ends_at(out_.members[e.through], e.on_through), true});
    std::vector<PlanBox> boxes;
    for (const RunCourse& r : task_.runs) boxes.push_back(box_of(r.path));
    std::size_t next = 0;
    for (std::size_t i = 0; i < task_.runs.size(); ++i)
      for (std::size_t j = i + 1; j < task_.runs.size(); ++j) {
        while (next < task_.met.places.size() &&
               std::pair(task_.met.places[next].first, task_.met.places[next].second) < std::pair(i, j))
          ++next;
        if (are_level(task_.runs[i], task_.runs[j]) &&
            !are_apart(boxes[i], boxes[j], reach[i] + reach[j] + kRunJoin))
          meet_pair(i, j, next);
      }
    std::stable_sort(out_.meetings.begin(), out_.meetings.end(), [](const auto& a, const auto& b) {
      return std::tie(a.crossing, a.through, a.on_through) < std::tie(b.crossing, b.through, b.on_through);
    });
  }

  /// `first_place`: the first of the runs' own meetings, if there is one.
  void meet_pair(std::size_t i, std::size_t j, std::size_t first_place) {
    std::vector<std::size_t> places;  // at which one run goes through
    bool has_corner = false;
    for (std::size_t c = first_place; c < task_.met.places.size(); ++c) {
      const Crossing& at = task_.met.places[c];
      if (at.first != i || at.second != j) break;
      if (at.is_crowded) return;
      if (at.through)
        places.push_back(c);
      else
        has_corner = true;
    }
    for (std::size_t a = out_.begins[i]; a < out_.begins[i + 1]; ++a)
      for (std::size_t b = out_.begins[j]; b < out_.begins[j + 1]; ++b)
        meet_members(a, b, places, has_corner);
  }

  void meet_members(std::size_t a, std::size_t b, const std::vector<std::size_t>& places, bool has_corner) {
    const Member &one = out_.members[a], &other = out_.members[b];
    const auto first = curve_of(path(one.run), one.left), second = curve_of(path(other.run), other.left);
    if (!first || !second) return;
    std::vector<Point<Drawing>> known;
    for (const Point<Drawing>& p : whole_meetings(*first, *second, kRunJoin)) {
      const Length s = round_ring(one.run, path(one.run).whole_along(p, 0.5 * (one.from + one.to))),
                   t = round_ring(other.run, path(other.run).whole_along(p, 0.5 * (other.from + other.to)));
      if (!one.reaches(s) || !other.reaches(t)) continue;
      if (std::any_of(known.begin(), known.end(),
                      [&](const Point<Drawing>& k) { return distance(k, p) < 2.0 * kRunJoin; }))
        continue;
      known.push_back(p);
      const bool ends = ends_at(one, s), other_ends = ends_at(other, t);
      if (places.empty()) {
        if (!has_corner || (!ends && !other_ends)) stray(one.run, other.run, p);
        continue;
      }
      const std::size_t c =
          *std::min_element(places.begin(), places.end(), [&](std::size_t x, std::size_t y) {
            return distance(task_.met.places[x].at, p) < distance(task_.met.places[y].at, p);
          });
      if (*task_.met.places[c].through == one.run)
        add({c, a, b, s, t, ends, other_ends});
      else
        add({c, b, a, t, s, other_ends, ends});
    }
  }

  /// A place of a ring from 0 up to its length; of other runs as it is.
  Length round_ring(std::size_t run, Length along) const {
    if (!path(run).is_closed()) return along;
    const Length round = path(run).length();
    if (along < -kHair) return along + round;
    return along >= round - kHair ? along - round : along;
  }
  /// How far two places of a run lie apart along it; of a ring the shorter way round.
  Length apart(std::size_t run, Length a, Length b) const {
    const Length way = abs(a - b);
    return path(run).is_closed() ? std::min(way, path(run).length() - way) : way;
  }

  void add(const MemberMeeting& m) {
    const bool is_known =
        std::any_of(out_.meetings.begin(), out_.meetings.end(), [&](const MemberMeeting& k) {
          return k.through == m.through && k.cut == m.cut &&
                 apart(out_.members[m.through].run, k.on_through, m.on_through) < 2.0 * kRunJoin;
        });
    if (!is_known && !(m.through_ends && m.cut_ends)) out_.meetings.push_back(m);
  }

  void stray(std::size_t i, std::size_t j, const Point<Drawing>& at) {
    const std::pair runs(i, j);
    if (out_.strays.empty() || out_.strays.back().first != runs) out_.strays.emplace_back(runs, at);
  }

  bool ends_at(const Member& m, Length along_run) const {
    if (path(m.run).is_closed()) return false;
    const Length along = m.along(along_run);
    return along <= kRunJoin || m.length() - along <= kRunJoin;
  }

  const MemberTask& task_;
  MembersResult out_;
  std::vector<Ended> ended_;
};

}  // namespace

bool Member::reaches(Length along_run) const {
  const Length at = along(along_run);
  return at >= -kRunJoin && at <= length() + kRunJoin;
}

MembersResult find_members(const MemberTask& task) { return Maker(task).make(); }

}  // namespace deckmark
