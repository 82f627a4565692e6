#include "stages/parts.h"

#include <algorithm>
#include <utility>

namespace deckmark {

namespace {

void count_hangers(const JobMarks& marks, const Overhead& overhead, const CutsFound* cuts,
                   std::vector<PartLine>& parts) {
  PartLine hanger{"hanger"}, support{"support"}, trapeze{"trapeze"};
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
struct OfMember {
  std::size_t joints = 0, ends = 0, end_left = 0, end_right = 0, pieces = 0;
  Length length = Length::metres(0);  ///< of its pieces
};

OfMember count_member(const Member& member, const MemberPieces& pieces, bool closed) {
  OfMember out;
  out.joints = pieces.laid.joints.size();
  out.pieces = pieces.laid.pieces.size();
  for (const LaidPiece& p : pieces.laid.pieces) out.length += (p.to - p.from) * member.stretch;
  if (closed) return out;
  for (const RunEnd end : {member.start, member.finish}) out.ends += end != RunEnd::joined;
  // Seen from outside the pair the right member, and a single one, has its start at the left.
  (member.is_left ? out.end_right : out.end_left) += member.start == RunEnd::free;
  (member.is_left ? out.end_left : out.end_right) += member.finish == RunEnd::free;
  return out;
}

void count_runs(const Overhead& overhead, std::vector<PartLine>& parts) {
  PartLine joint{"joint"}, end{"end"}, crossing{"crossing"}, corner{"corner"}, piece{"piece"};
  piece.length = Length::metres(0);
  for (const Crossing& c : overhead.crossings) ++(c.is_corner() ? corner : crossing).count;
  for (std::size_t m = 0; m < overhead.pieces.size(); ++m) {
    const Member& member = overhead.members.members[m];
    const OfMember of = count_member(member, overhead.pieces[m], overhead.runs[member.run].path.is_closed());
    joint.count += of.joints;
    end.count += of.ends;
    piece.count += of.pieces;
    *piece.length += of.length;
  }
  for (const PartLine& p : {joint, end, crossing, corner, piece}) parts.push_back(p);
}

/// Pieces and free ends by the member on which they are.
void count_members(const Overhead& overhead, std::vector<PartLine>& parts) {
  for (std::size_t s = 0; s < kMemberSides; ++s) {
    const auto side = static_cast<MemberSide>(s);
    PartLine piece{"piece", 0, Length::metres(0), word_of(side)}, left{"end-left", 0, {}, word_of(side)},
        right{"end-right", 0, {}, word_of(side)};
    for (std::size_t m = 0; m < overhead.pieces.size(); ++m) {
      const Member& member = overhead.members.members[m];
      if (member.side != side) continue;
      const OfMember of =
          count_member(member, overhead.pieces[m], overhead.runs[member.run].path.is_closed());
      piece.count += of.pieces, left.count += of.end_left, right.count += of.end_right;
      *piece.length += of.length;
    }
    if (piece.count > 0 && side != MemberSide::single) parts.push_back(piece);
    for (const PartLine& p : {left, right})
      if (p.count > 0) parts.push_back(p);
  }
}

}  // namespace

std::vector<PartLine> parts_of(const JobMarks& marks, const Overhead& overhead, const CutsFound* cuts,
                               const CutOptions& options) {
  std::vector<PartLine> parts;
  count_hangers(marks, overhead, cuts, parts);
  if (!overhead.runs.empty()) count_runs(overhead, parts);
  if (const std::size_t n = cuts ? cuts->list.pieces.size() : 0; n > 0)
    parts.push_back({"stock", n, static_cast<double>(n) * *options.stock});
  count_members(overhead, parts);
  return parts;
}

bool counts_parts(const OverheadJob& stated) {
  return stated.runs_table.table || stated.cut.wanted() || stated.outlines_table.table;
}

bool has_pieces(const OverheadJob& stated) {
  return stated.pieces_table.table || (stated.hangers.joint_every && stated.runs_table.table);
}

}  // namespace deckmark
