#include "stages/parts.h"

#include <algorithm>
#include <utility>

namespace deckmark {

namespace {

/// Ends of runs at which they meet others in corners, each once.
std::size_t ends_in_corners(const std::vector<Crossing>& crossings) {
  std::vector<std::pair<std::size_t, bool>> ends;
  for (const Crossing& c : crossings) {
    if (!c.mitre) continue;
    ends.emplace_back(c.first, c.along_first > kRunJoin);
    ends.emplace_back(c.second, c.along_second > kRunJoin);
  }
  std::sort(ends.begin(), ends.end());
  return static_cast<std::size_t>(std::unique(ends.begin(), ends.end()) - ends.begin());
}

void count_hangers(const JobMarks& marks, const Overhead& overhead, const CutsFound* cuts,
                   std::vector<PartLine>& parts) {
  PartLine hanger{"hanger", 0, {}}, support{"support", 0, {}}, trapeze{"trapeze", 0, {}};
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

void count_runs(const Overhead& overhead, std::vector<PartLine>& parts) {
  PartLine joint{"joint", 0, {}}, end{"end", 0, {}}, crossing{"crossing", 0, {}}, corner{"corner", 0, {}},
      piece{"piece", 0, Length::metres(0)};
  for (const Crossing& c : overhead.crossings) ++(c.mitre ? corner : crossing).count;
  for (const RunFound& r : overhead.runs) {
    joint.count += r.laid.joints.size();
    if (!r.path.is_closed()) end.count += 2;
    piece.count += r.laid.pieces.size();
    for (const LaidPiece& p : r.laid.pieces) *piece.length += p.to - p.from;
  }
  end.count -= ends_in_corners(overhead.crossings);
  for (const PartLine& p : {joint, end, crossing, corner, piece}) parts.push_back(p);
}

}  // namespace

std::vector<PartLine> parts_of(const JobMarks& marks, const Overhead& overhead, const CutsFound* cuts,
                               const CutOptions& options) {
  std::vector<PartLine> parts;
  count_hangers(marks, overhead, cuts, parts);
  if (!overhead.runs.empty()) count_runs(overhead, parts);
  if (const std::size_t n = cuts ? cuts->list.pieces.size() : 0; n > 0)
    parts.push_back({"stock", n, static_cast<double>(n) * *options.stock});
  return parts;
}

bool counts_parts(const OverheadJob& stated) {
  return stated.runs_table.table || stated.cut.wanted() || stated.outlines_table.table;
}

bool has_pieces(const OverheadJob& stated) {
  return stated.pieces_table.table || (stated.hangers.joint_every && stated.runs_table.table);
}

}  // namespace deckmark
