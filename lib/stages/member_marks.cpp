#include "stages/member_marks.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <utility>

#include "job/tables/pieces.h"
#include "job/tables/runs.h"
#include "measure/verdict.h"
#include "report/words.h"
#include "stages/run_members.h"

namespace deckmark {

namespace {

using What = PieceMark::What;

constexpr Length kNotchOff = Length::millimetres(1);
constexpr Length kAtEnd = Length::millimetres(0.01);  // a hanger no further beyond a member's end is at it

class Marker {
 public:
  Marker(const OverheadJob& stated, Overhead& overhead, const JobMarks& marks, LengthUnit unit,
         Messages& told)
      : o_(stated), out_(overhead), marks_(marks), unit_(unit), told_(told) {}

  void mark() {
    on_.resize(out_.members.members.size());
    for (std::size_t m = 0; m < on_.size(); ++m) take_hangers(m);
    for (std::size_t i = 0; i < out_.members.meetings.size(); ++i) take_meeting(i);
    for (std::size_t m = 0; m < on_.size(); ++m) {
      MemberPieces& pieces = out_.pieces[m];
      if (!pieces.laid.pieces.empty()) {
        pieces.marks = piece_marks(pieces.laid, member(m), is_closed(m), on_[m]);
        tell_bare(m);
      }
      look_at_notches(m);
    }
    tell_opposing();
  }

 private:
  const Member& member(std::size_t m) const { return out_.members.members[m]; }
  const RunFound& run_of(std::size_t m) const { return out_.runs[member(m).run]; }
  bool is_closed(std::size_t m) const { return run_of(m).path.is_closed(); }
  bool is_single(std::size_t m) const { return member(m).side == MemberSide::single; }

  void take_hangers(std::size_t m) {
    const auto& hangers = run_of(m).hangers;
    std::vector<std::size_t> beyond;
    for (std::size_t h = 0; h < hangers.size(); ++h) {
      const Length along = hangers[h].along;
      if (is_closed(m) || abs(on_member(m, along) - along) <= kAtEnd)
        on_[m].push_back({What::hanger, h, on_member(m, along)});
      else
        beyond.push_back(h);
    }
    if (beyond.empty()) return;
    told_.doubt("hangers where a member has ended", cell_of(o_.runs_table, member(m).run, runs::run.name),
                runs::run.name,
                fmt::format("{} has ended beside {}{}: nothing of it hangs there",
                            member_words(o_, member(m)), marks_->names[hangers[beyond[0]].mark],
                            beyond.size() > 1 ? fmt::format(" and {} more", beyond.size() - 1) : ""));
  }

  /// Hangers at which the member has no piece.
  void tell_bare(std::size_t m) {
    std::vector<std::size_t> has;
    for (const PieceMark& k : out_.pieces[m].marks)
      if (k.what == What::hanger) has.push_back(k.index);
    std::vector<std::size_t> bare;
    for (const OnRun& o : on_[m])
      if (o.what == What::hanger && std::ranges::find(has, o.index) == has.end()) bare.push_back(o.index);
    if (bare.empty()) return;
    told_.doubt(
        "hangers without a piece", cell_of(o_.runs_table, member(m).run, runs::run.name), runs::run.name,
        fmt::format("no piece of {} reaches {}{}", member_words(o_, member(m)),
                    marks_->names[run_of(m).hangers[bare[0]].mark],
                    bare.size() > 1
                        ? fmt::format(" and {} hanger{} more", bare.size() - 1, bare.size() == 2 ? "" : "s")
                        : ""));
  }

  /// A place a hair beyond an end is the end.
  Length on_member(std::size_t m, Length along) const {
    return is_closed(m) ? along : std::clamp(along, member(m).from, member(m).to);
  }

  void take_meeting(std::size_t i) {
    const MemberMeeting& at = out_.members.meetings[i];
    const bool are_single = is_single(at.through) && is_single(at.cut);
    if (!at.through_ends)
      on_[at.through].push_back(
          {are_single ? What::crossing : What::notch, i, on_member(at.through, at.on_through)});
    if (!at.cut_ends) on_[at.cut].push_back({What::crossing, i, on_member(at.cut, at.on_cut)});
  }

  // --- notches as the table states them ---

  std::size_t other_of(std::size_t m, const MemberMeeting& at) const {
    return at.through == m ? at.cut : at.through;
  }
  const std::string& other_run(std::size_t m, const MemberMeeting& at) const {
    return o_.runs[member(other_of(m, at)).run].name;
  }
  void doubt(std::size_t row, std::string text) {
    told_.doubt("notches that lie elsewhere", cell_of(o_.pieces_table, row, pieces::notches.name),
                pieces::notches.name, std::move(text));
  }

  void look_at_notches(std::size_t m) {
    const MemberPieces& pieces = out_.pieces[m];
    for (std::size_t p = 0; p < pieces.rows.size(); ++p)
      if (!o_.pieces[pieces.rows[p]].notches.empty()) look_at_notches(m, p);
  }

  /// Notches are stated from the start of the piece as it comes, before anything is cut off it.
  void look_at_notches(std::size_t m, std::size_t p) {
    const MemberPieces& pieces = out_.pieces[m];
    const StatedPiece& stated = o_.pieces[pieces.rows[p]];
    const Length whole = (pieces.laid.pieces[p].to - pieces.laid.pieces[p].from) * member(m).stretch;
    const std::string on = is_single(m) || stated.member
                               ? stated.name
                               : fmt::format("{} on {}", stated.name, member_words(o_, member(m)));
    std::vector<Met> met;
    for (const PieceMark& k : pieces.marks)
      if (k.piece == p && (k.what == What::notch || k.what == What::crossing))
        met.push_back({&out_.members.meetings[k.index], k.along_piece + pieces.cut_off[p]});
    for (const Length notch : stated.notches) {
      const auto off = [&](const Met& k) { return abs(k.along - notch); };
      const auto at = std::ranges::min_element(met, {}, off);
      if (at == met.end()) {
        const bool is_beyond = notch > whole + pieces.cut_off[p] + kNotchOff;
        doubt(pieces.rows[p], fmt::format("{} has a notch at {}, {}", on, length_words(notch, unit_),
                                          is_beyond ? "beyond its end" : "and no member meets it"));
        continue;
      }
      at->has_notch = true;
      if (at->meeting->through == m)
        off_[{at->meeting->crossing, at->meeting->cut}].push_back({m, pieces.rows[p], notch - at->along});
      if (off(*at) > kNotchOff + kHair)
        doubt(pieces.rows[p], fmt::format("the notch of {} at {} lies {} {} where {} meets it, at {}", on,
                                          length_words(notch, unit_), length_words(off(*at), unit_),
                                          notch > at->along ? "beyond" : "before", other_run(m, *at->meeting),
                                          length_words(at->along, unit_)));
    }
    for (const Met& k : met)
      if (!k.has_notch && k.meeting->through == m)
        doubt(pieces.rows[p], fmt::format("{} has no notch at {}, where {} meets it", on,
                                          length_words(k.along, unit_), other_run(m, *k.meeting)));
  }

  /// Two notches through which one member passes, each near enough to its place, but on other sides of it.
  void tell_opposing() {
    for (const auto& [of, off] : off_) {
      if (off.size() != 2 || off[0].member == off[1].member) continue;
      if (std::ranges::any_of(off, [](const Off& f) { return abs(f.by) > kNotchOff + kHair; })) continue;
      const Length apart = abs(off[0].by - off[1].by);
      if (apart > kNotchOff + kHair)
        doubt(off[1].row, fmt::format("the notches of {} and {} for {} lie {} out of line with one another",
                                      o_.pieces[off[0].row].name, o_.pieces[off[1].row].name,
                                      o_.runs[member(of.second).run].name, length_words(apart, unit_)));
    }
  }

  /// Where another member meets a piece, from its start as it comes.
  struct Met {
    const MemberMeeting* meeting;
    Length along;
    bool has_notch = false;
  };
  struct Off {
    std::size_t member, row;
    Length by;
  };
  const OverheadJob& o_;
  Overhead& out_;
  const JobMarks& marks_;
  LengthUnit unit_;
  Messages& told_;
  std::vector<std::vector<OnRun>> on_;                                   ///< of every member
  std::map<std::pair<std::size_t, std::size_t>, std::vector<Off>> off_;  ///< by crossing and cut member
};

}  // namespace

void mark_members(const OverheadJob& stated, Overhead& overhead, const JobMarks& marks, LengthUnit unit,
                  Messages& told) {
  Marker(stated, overhead, marks, unit, told).mark();
}

}  // namespace deckmark
