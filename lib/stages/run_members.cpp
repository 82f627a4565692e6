#include "stages/run_members.h"

#include <fmt/format.h>

#include <algorithm>

#include "job/tables/runs.h"
#include "report/words.h"
#include "stages/job_marks.h"
#include "table/names.h"

namespace deckmark {

namespace {

constexpr Length kZero = Length::metres(0);
constexpr Length kNear = Length::millimetres(50);  // ends no further apart were to meet, more likely than not

class Finder {
 public:
  Finder(const RunMembersInput& in, Messages& told) : in_(in), o_(in.stated), told_(told) {}

  RunMembers find() && {
    for (std::size_t r = 0; r < o_.runs.size(); ++r) {
      const StatedRun& s = o_.runs[r];
      lines_.push_back({in_.paths[r], s.height ? s.height : in_.height, s.start, s.finish, cut_by(r)});
      separations_.push_back(s.separation.value_or(o_.hangers.separation.value_or(kZero)));
      reaches_.push_back(s.reach);
      if (separations_[r] == kZero)
        tell_reach(r);
      else
        tell_far_reach(r);
    }
    refuse_both_cut();
    RunMembers out;
    out.met = find_crossings(lines_);
    tell_meetings(out.met);
    tell_idle_cuts(out.met);
    tell_near_ends(out.met);
    out.members =
        find_members({lines_, separations_, reaches_, out.met, o_.hangers.member_width, in_.mirrored});
    tell_members(out);
    return out;
  }

 private:
  Where where(std::size_t r, std::string_view column = runs::run.name) const {
    return cell_of(o_.runs_table, r, column);
  }
  const std::string& name(std::size_t r) const { return o_.runs[r].name; }
  std::string words(Length l) const { return length_words(l, in_.unit); }

  std::vector<std::size_t> cut_by(std::size_t r) {
    std::vector<std::size_t> out;
    for (const std::string& by : o_.runs[r].cut_by) {
      const auto other = run_named(o_, by);
      if (other && *other != r)
        out.push_back(*other);
      else if (other || !o_.refused_runs.may_hold(by))
        problem(r, runs::cut_by,
                {other ? fmt::format("{}, the run itself", in_quotes(by)) : in_quotes(by),
                 "other runs of the runs table, parted by ;", ""});
    }
    return out;
  }

  template <class Cell>
  void problem(std::size_t r, const Column<Cell>& column, const Fault& fault) {
    told_.problem(where(r, column.name), column.name, fault);
  }
  void doubt(std::string_view kind, std::size_t r, std::string text) {
    told_.doubt(kind, where(r), runs::run.name, std::move(text));
  }

  void tell_reach(std::size_t r) {
    const StatedReach& s = reaches_[r];
    if (!s.any()) return;
    const auto& column = s.start_left    ? runs::start_left
                         : s.start_right ? runs::start_right
                         : s.finish_left ? runs::finish_left
                                         : runs::finish_right;
    problem(r, column,
            {fmt::format("a member's reach on {}, which has one member", name(r)),
             "a separation, or nothing here", ""});
  }

  /// A member that reaches further beyond its run than that is long: a slip of the unit, more likely than
  /// not.
  void tell_far_reach(std::size_t r) {
    const StatedReach& s = reaches_[r];
    const auto look = [&](const std::optional<Length>& reach, const Column<LengthCell>& column) {
      if (reach && abs(*reach) > in_.paths[r].length())
        told_.doubt(
            "reaches that are hard to believe", where(r, column.name), column.name,
            fmt::format("a member of {} reaches {} beyond its end, and the run is {} long: a slip of the "
                        "unit?",
                        name(r), words(*reach), words(in_.paths[r].length())));
    };
    look(s.start_left, runs::start_left), look(s.start_right, runs::start_right);
    look(s.finish_left, runs::finish_left), look(s.finish_right, runs::finish_right);
  }

  void refuse_both_cut() {
    const auto is_cut_by = [&](std::size_t a, std::size_t b) {
      return std::ranges::find(lines_[a].cut_by, b) != lines_[a].cut_by.end();
    };
    for (std::size_t r = 0; r < lines_.size(); ++r)
      for (const std::size_t by : lines_[r].cut_by)
        if (by < r && is_cut_by(by, r))
          problem(r, runs::cut_by,
                  {fmt::format("{} cut by {}, which is cut by {}", name(r), name(by), name(r)),
                   "one of the two to go through", ""});
  }

  static std::string_view end_word(AtEnd end) {
    return end == AtEnd::start ? runs::start.name : runs::finish.name;
  }

  void tell_meetings(const CrossingsResult& met) {
    for (const auto& [a, b] : met.overlaps)
      doubt("runs that lie on one another", b,
            fmt::format("{} and {} lie on one another over a stretch", name(a), name(b)));
    for (const auto& [r, end] : met.unmet)
      told_.doubt("ends that join nothing", where(r, end_word(end)), end_word(end),
                  fmt::format("no run meets {} at its {}: it counts as free", name(r), end_word(end)));
    for (const std::size_t c : met.crowded) {
      const Crossing& at = met.places[c];
      doubt("places where many runs end", at.second,
            fmt::format("more than two runs end where {} meets {}: all end square there", name(at.first),
                        name(at.second)));
    }
  }

  /// Runs named in cut_by that do not cross the run.
  void tell_idle_cuts(const CrossingsResult& met) {
    for (std::size_t r = 0; r < lines_.size(); ++r)
      for (const std::size_t by : lines_[r].cut_by) {
        const auto is_theirs = [&](const Crossing& c) {
          return !c.first_end && !c.second_end && std::minmax(c.first, c.second) == std::minmax(r, by);
        };
        if (std::ranges::any_of(met.places, is_theirs)) continue;
        told_.doubt("runs that do not cross", where(r, runs::cut_by.name), runs::cut_by.name,
                    fmt::format("{} does not cross {}: take it out of cut_by", name(by), name(r)));
      }
  }

  /// Ends that nearly meet: a slip of the pen makes two free ends of a corner.
  void tell_near_ends(const CrossingsResult& met) {
    struct End {
      std::size_t run;
      Point<Drawing> at;
      std::string_view word;
      bool is_free;
    };
    std::vector<End> ends;
    for (std::size_t r = 0; r < lines_.size(); ++r) {
      if (lines_[r].path.is_closed()) continue;
      if (lines_[r].start.value_or(RunEnd::joined) == RunEnd::joined)
        ends.push_back({r, lines_[r].path.at(kZero), runs::start.name, met.ends[r].start == RunEnd::free});
      if (lines_[r].finish.value_or(RunEnd::joined) == RunEnd::joined)
        ends.push_back({r, lines_[r].path.at(lines_[r].path.length()), runs::finish.name,
                        met.ends[r].finish == RunEnd::free});
    }
    std::ranges::sort(ends, [](const End& a, const End& b) { return a.at.at.x < b.at.at.x; });
    for (std::size_t i = 0; i < ends.size(); ++i)
      for (std::size_t j = i + 1; j < ends.size() && ends[j].at.at.x - ends[i].at.at.x <= kNear; ++j)
        if (ends[i].is_free || ends[j].is_free)
          tell_near(ends[i].run, ends[i].word, ends[j].run, ends[j].word, distance(ends[i].at, ends[j].at));
  }
  void tell_near(std::size_t a, std::string_view a_word, std::size_t b, std::string_view b_word, Length off) {
    if (a == b || off > kNear) return;
    if (a > b) std::swap(a, b), std::swap(a_word, b_word);
    const auto &h = lines_[a].height, &k = lines_[b].height;
    const Length up = h && k ? abs(*h - *k) : kZero;
    if (up > kNear || (off <= kRunJoin && up <= kRunJoin + kHair)) return;
    const bool is_in_height = off <= kRunJoin;
    told_.doubt(
        "ends that nearly meet", where(b), runs::run.name,
        fmt::format(
            "the {} of {} lies {}{} from the {} of {}, and they make no corner: give both ends one {} "
            "if they are to, or say free",
            b_word, name(b), words(is_in_height ? up : off), is_in_height ? " in height" : "", a_word,
            name(a), is_in_height ? "height" : "place"));
  }

  void tell_members(const RunMembers& found) {
    for (const std::size_t r : found.members.no_room) {
      const bool is_own = o_.runs[r].separation.has_value();
      const Fault fault{fmt::format("a separation of {} on {} {} of radius {}", words(separations_[r]),
                                    kRunKindWords[static_cast<std::size_t>(o_.runs[r].kind)], name(r),
                                    words(*in_.paths[r].radius())),
                        "a radius of more than half the separation", ""};
      told_.problem(where(r, is_own ? runs::separation.name : runs::run.name),
                    is_own ? runs::separation.name : runs::run.name, fault);
    }
    for (const std::size_t m : found.members.no_length) {
      const Member& member = found.members.members[m];
      problem(member.run, runs::run,
              {fmt::format("{} too short: its corners take all of {}", name(member.run),
                           member_words(o_, member)),
               "a longer run, or a smaller separation", ""});
    }
    for (const std::size_t c : found.members.open_corners) {
      const Crossing& at = found.met.places[c];
      if (std::ranges::find(found.met.overlaps, std::pair(at.first, at.second)) != found.met.overlaps.end())
        continue;  // told already
      doubt("members that do not meet", at.second,
            fmt::format("members of {} and {} do not meet where the runs do: they end square there",
                        name(at.first), name(at.second)));
    }
    for (const auto& [pair, at] : found.members.strays)
      doubt("members that meet where their runs do not", pair.second,
            fmt::format("members of {} and {} run into one another at x {}, y {}: look at their ends",
                        name(pair.first), name(pair.second), words(at.at.x), words(at.at.y)));
  }

  const RunMembersInput& in_;
  const OverheadJob& o_;
  Messages& told_;
  std::vector<RunCourse> lines_;
  std::vector<Length> separations_;
  std::vector<StatedReach> reaches_;
};

}  // namespace

RunMembers find_run_members(const RunMembersInput& input, Messages& told) {
  return Finder(input, told).find();
}

std::string member_words(const OverheadJob& stated, const Member& member) {
  const std::string& run = stated.runs[member.run].name;
  return member.side == MemberSide::single ? run
                                           : fmt::format("the {} member of {}", word_of(member.side), run);
}

std::optional<std::size_t> run_named(const OverheadJob& stated, std::string_view name) {
  const auto at =
      std::ranges::find_if(stated.runs, [&](const StatedRun& r) { return same_name(r.name, name); });
  if (at == stated.runs.end()) return std::nullopt;
  return static_cast<std::size_t>(at - stated.runs.begin());
}

}  // namespace deckmark
