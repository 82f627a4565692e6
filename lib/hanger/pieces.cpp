#include "hanger/pieces.h"

#include <algorithm>
#include <tuple>

#include "measure/verdict.h"

namespace deckmark {

LaidPieces lay_pieces(std::span<const Length> lengths, Length run, bool closed) {
  LaidPieces out;
  Length at = Length::metres(0);
  for (const Length length : lengths) {
    const Length from = at;
    at += length;
    if (at >= run - kPiecesAddUp - kHair) at = run;
    out.pieces.push_back({from, at});
    if (at == run) break;
  }
  for (std::size_t i = 0; i + 1 < out.pieces.size(); ++i) out.joints.push_back(out.pieces[i].to);
  if (closed && at == run) out.joints.push_back(run);
  return out;
}

std::vector<Length> equal_pieces(Length run, Length every) {
  // Summed as `lay_pieces` sums them, so that both find the same end.
  std::vector<Length> out;
  for (Length at = Length::metres(0); out.empty() || run - at > kPiecesAddUp + kHair; at = at + every)
    out.push_back(std::min(every, run - at));
  return out;
}

LaidPieces beside_run(LaidPieces on_member, const Member& member) {
  for (LaidPiece& p : on_member.pieces) p = {member.beside(p.from), member.beside(p.to)};
  for (Length& j : on_member.joints) j = member.beside(j);
  return on_member;
}

PiecesOfMember cut_for(const LaidPieces& on_run, const Member& member, Length run, bool closed) {
  PiecesOfMember out;
  if (closed) {
    out.laid = on_run;
    return out;
  }
  const bool reaches_end = !on_run.pieces.empty() && on_run.pieces.back().to >= run - kHair;
  for (std::size_t i = 0; i < on_run.pieces.size(); ++i) {
    LaidPiece p = on_run.pieces[i];
    if (i > 0 && p.from >= member.to - kHair) {
      ++out.behind;
      continue;
    }
    if (i + 1 < on_run.pieces.size() && p.to <= member.from + kHair) {
      ++out.before;
      continue;
    }
    if (out.laid.pieces.empty()) p.from = member.from;
    if (p.to > member.to || (i + 1 == on_run.pieces.size() && reaches_end)) p.to = member.to;
    out.laid.pieces.push_back(p);
  }
  for (std::size_t i = 0; i + 1 < out.laid.pieces.size(); ++i)
    out.laid.joints.push_back(out.laid.pieces[i].to);
  return out;
}

std::vector<PieceMark> piece_marks(const LaidPieces& laid, const Member& member, bool closed,
                                   std::span<const OnRun> on_run) {
  using What = PieceMark::What;
  std::vector<PieceMark> out;
  const auto& pieces = laid.pieces;
  const auto add = [&](What what, std::size_t index, Length along) {
    if (pieces.empty() || along < pieces.front().from - kHair) return;
    // The first piece whose end is not before the place.
    const auto at = std::lower_bound(pieces.begin(), pieces.end(), along - kHair,
                                     [](const LaidPiece& p, Length v) { return p.to < v; });
    if (at == pieces.end()) return;
    out.push_back({what, index, static_cast<std::size_t>(at - pieces.begin()),
                   (along - at->from) * member.stretch, along});
  };
  if (!closed) add(What::end, 0, member.from);
  for (const OnRun& o : on_run) add(o.what, o.index, o.along);
  for (std::size_t j = 0; j < laid.joints.size(); ++j) add(What::joint, j, laid.joints[j]);
  if (!closed && !pieces.empty() && pieces.back().to >= member.to - kHair) add(What::end, 1, member.to);
  std::stable_sort(out.begin(), out.end(), [](const PieceMark& a, const PieceMark& b) {
    return std::tie(a.piece, a.along_piece) < std::tie(b.piece, b.along_piece);
  });
  return out;
}

}  // namespace deckmark
