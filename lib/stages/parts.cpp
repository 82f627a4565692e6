#include "stages/parts.h"

#include <algorithm>
#include <map>
#include <utility>

namespace deckmark {

namespace {

void count_hangers(const JobMarks& marks, const Overhead& overhead, const CutsFound* cuts,
                   std::vector<PartLine>& parts) {
  PartLine hanger{part_word::hanger}, support{part_word::support}, trapeze{part_word::trapeze};
  const auto line = [&](std::size_t m) -> PartLine& { return marks.is_support(m) ? support : hanger; };
  for (std::size_t m = 0; m < marks.size(); ++m)
    if (marks.has_deck_point(m)) ++line(m).count;
  for (const TrapezeFound& t : overhead.trapezes) trapeze.count += t.trapeze.supports.has_value();
  for (std::size_t i = 0; cuts && i < cuts->marks.size(); ++i)  // a length only where one is known
    if (std::optional<Length>& length = line(cuts->marks[i]).length; cuts->cuts[i])
      length = length.value_or(Length::metres(0)) + *cuts->cuts[i];
  parts.push_back(hanger);
  if (support.count) parts.push_back(support), parts.push_back(trapeze);
}

/// What stands on one member.
struct OnMember {
  std::size_t joints = 0, pieces = 0, end_left = 0, end_right = 0, walls = 0;
  Length pieces_length = Length::metres(0);
};

OnMember count_member(const Overhead& overhead, std::size_t m) {
  const Member& member = overhead.members.members[m];
  const MemberPieces& pieces = overhead.pieces[m];
  OnMember out;
  out.joints = pieces.laid.joints.size();
  out.pieces = pieces.laid.pieces.size();
  for (const LaidPiece& p : pieces.laid.pieces) out.pieces_length += (p.to - p.from) * member.stretch;
  if (overhead.runs[member.run].path.is_closed()) return out;
  for (const RunEnd end : {member.start, member.finish}) out.walls += end == RunEnd::wall;
  // Seen from outside the pair the right member, and a single one, has its start at the left.
  (member.is_left ? out.end_right : out.end_left) += member.start == RunEnd::free;
  (member.is_left ? out.end_left : out.end_right) += member.finish == RunEnd::free;
  return out;
}

void count_runs(const Overhead& overhead, std::vector<PartLine>& parts) {
  PartLine joint{part_word::joint}, end{part_word::end}, crossing{part_word::crossing},
      corner{part_word::corner}, piece{part_word::piece};
  piece.length = Length::metres(0);
  for (const Crossing& c : overhead.crossings) ++(c.is_corner() ? corner : crossing).count;
  for (std::size_t m = 0; m < overhead.pieces.size(); ++m) {
    const OnMember on = count_member(overhead, m);
    joint.count += on.joints;
    end.count += on.end_left + on.end_right + on.walls;
    piece.count += on.pieces;
    *piece.length += on.pieces_length;
  }
  for (const PartLine& p : {joint, end, crossing, corner, piece}) parts.push_back(p);
}

/// Pieces and free ends by the member on which they are.
void count_members(const Overhead& overhead, std::vector<PartLine>& parts) {
  for (std::size_t s = 0; s < kMemberSides; ++s) {
    const auto side = static_cast<MemberSide>(s);
    PartLine piece{part_word::piece, 0, Length::metres(0), word_of(side)},
        left{part_word::end_left, 0, {}, word_of(side)}, right{part_word::end_right, 0, {}, word_of(side)};
    for (std::size_t m = 0; m < overhead.pieces.size(); ++m) {
      if (overhead.members.members[m].side != side) continue;
      const OnMember on = count_member(overhead, m);
      piece.count += on.pieces, left.count += on.end_left, right.count += on.end_right;
      *piece.length += on.pieces_length;
    }
    if (piece.count > 0 && side != MemberSide::single) parts.push_back(piece);
    for (const PartLine& p : {left, right})
      if (p.count > 0) parts.push_back(p);
  }
}

/// Counts what parts can be needed for.
class PlaceCounter {
 public:
  PlaceCounter(const OverheadJob& stated, const JobMarks& marks, const Overhead& overhead)
      : stated_(stated), marks_(marks), overhead_(overhead), out_(overhead.runs.size() + 1) {}

  std::vector<PlaceCounts> count() && {
    count_hangers();
    for (std::size_t m = 0; m < overhead_.pieces.size(); ++m) count_on(m);
    for (const Crossing& c : overhead_.crossings)
      if (c.is_corner()) count_corner(c);
    for (const MemberMeeting& m : overhead_.members.meetings) {
      const std::size_t run = overhead_.members.members[m.cut].run;
      ++at(run, PartPer::through_crossing);
      ++at(run, PartPer::crossing);
    }
    return std::move(out_);
  }

 private:
  double& at(std::size_t run, PartPer per) { return out_[run][index_of(per)]; }

  void count_hangers() {
    std::map<std::uint32_t, std::size_t> run_of_word;
    for (std::size_t r = 0; r < overhead_.runs.size(); ++r)
      if (const auto w = marks_->runs.words().find(stated_.runs[r].name)) run_of_word.emplace(*w, r);
    for (std::size_t m = 0; m < marks_.supports; ++m) {
      if (marks_->is_reference(m)) continue;
      const auto run = run_of_word.find(marks_->runs.number(m));
      ++at(run == run_of_word.end() ? overhead_.runs.size() : run->second, PartPer::hanger);
    }
  }

  void count_on(std::size_t m) {
    const Member& member = overhead_.members.members[m];
    const OnMember on = count_member(overhead_, m);
    at(member.run, PartPer::joint) += static_cast<double>(on.joints);
    at(member.run, PartPer::piece) += static_cast<double>(on.pieces);
    at(member.run, PartPer::end_left) += static_cast<double>(on.end_left);
    at(member.run, PartPer::end_right) += static_cast<double>(on.end_right);
    at(member.run, PartPer::wall) += static_cast<double>(on.walls);
    at(member.run, PartPer::metre) += member.length().metres();
  }

  void count_corner(const Crossing& c) {
    ++at(c.first, PartPer::corner_outside);
    if (overhead_.members.of(c.first).size() > 1 && overhead_.members.of(c.second).size() > 1)
      ++at(c.first, PartPer::corner_inside);
  }

  const OverheadJob& stated_;
  const JobMarks& marks_;
  const Overhead& overhead_;
  std::vector<PlaceCounts> out_;
};

}  // namespace

std::vector<PartLine> parts_of(const JobMarks& marks, const Overhead& overhead, const CutsFound* cuts,
                               const CutOptions& options) {
  std::vector<PartLine> parts;
  count_hangers(marks, overhead, cuts, parts);
  if (!overhead.runs.empty()) count_runs(overhead, parts);
  if (const std::size_t n = cuts ? cuts->list.pieces.size() : 0; n > 0)
    parts.push_back({part_word::stock, n, static_cast<double>(n) * *options.stock});
  count_members(overhead, parts);
  return parts;
}

std::vector<PlaceCounts> place_counts(const OverheadJob& stated, const JobMarks& marks,
                                      const Overhead& overhead) {
  return PlaceCounter(stated, marks, overhead).count();
}

std::vector<PieceHung> pieces_hung(const OverheadJob& stated, const Overhead& overhead) {
  // In the order of their table; those of one length by run, each as often as members have it.
  std::vector<PieceHung> by_row(stated.pieces.size()), out;
  for (PieceHung& p : by_row) p.need.count = 0;
  for (std::size_t m = 0; m < overhead.pieces.size(); ++m) {
    const MemberPieces& of = overhead.pieces[m];
    const Member& member = overhead.members.members[m];
    for (std::size_t p = 0; p < of.names.size(); ++p) {
      PieceHung* hung = of.rows.empty() ? nullptr : &by_row[of.rows[p]];
      if (!hung) {
        const auto known = std::find_if(out.begin(), out.end(), [&](const PieceHung& h) {
          return h.need.run == member.run && h.need.piece == of.names[p];
        });
        hung = known != out.end() ? &*known : &out.emplace_back();
      }
      if (hung->need.piece.empty()) hung->need = {of.names[p], member.run, 0};
      ++hung->need.count;
      hung->lengths.push_back((of.laid.pieces[p].to - of.laid.pieces[p].from) * member.stretch);
    }
  }
  for (std::size_t i = 0; i < by_row.size(); ++i) {
    if (by_row[i].need.count == 0) continue;
    by_row[i].lengths.push_back(stated.pieces[i].length);  // as drawn, before corners and cuts
    out.push_back(std::move(by_row[i]));
  }
  return out;
}

bool counts_parts(const OverheadJob& stated) {
  return stated.runs_table.table || stated.cut.wanted() || stated.bridges();
}

bool has_pieces(const OverheadJob& stated) {
  return stated.pieces_table.table || (stated.hangers.joint_every && stated.runs_table.table);
}

}  // namespace deckmark
