#include "hanger/pieces.h"

#include <algorithm>
#include <tuple>

#include "measure/verdict.h"

namespace deckmark {

LaidPieces lay_pieces(std::span<const Length> lengths, Length run, bool closed) {
  LaidPieces out;
  Length at = Length::metres(0);
  for (std::size_t i = 0; i < lengths.size(); ++i) {
    const Length end = at + lengths[i];
    const bool last = i + 1 == lengths.size();
    if (abs(end - run) <= kPiecesAddUp) {
      out.pieces.push_back({at, run});
      if (!last) out.misfit = PieceMisfit{i, Length::metres(0), true, lengths.size() - i - 1};
      at = run;
      break;
    }
    out.pieces.push_back({at, std::min(end, run)});
    at = std::min(end, run);
    if (end > run) {
      out.misfit = PieceMisfit{i, end - run, true, lengths.size() - i - 1};
      break;
    }
    if (last) out.misfit = PieceMisfit{i, run - end, false, 0};
  }
  for (std::size_t i = 0; i + 1 < out.pieces.size(); ++i) out.joints.push_back(out.pieces[i].to);
  if (closed && at >= run - kHair) out.joints.push_back(run);
  return out;
}

std::vector<Length> equal_pieces(Length run, Length every) {
  // Summed as `lay_pieces` sums them, so that both find the same end.
  std::vector<Length> out;
  for (Length at = Length::metres(0); out.empty() || run - at > kPiecesAddUp; at = at + every)
    out.push_back(std::min(every, run - at));
  return out;
}

std::vector<PieceMark> piece_marks(const LaidPieces& laid, Length run, bool closed,
                                   std::span<const OnRun> on_run) {
  using What = PieceMark::What;
  std::vector<PieceMark> out;
  const auto& pieces = laid.pieces;
  const auto add = [&](What what, std::size_t index, Length along) {
    // The first piece whose end is not before the place.
    const auto at = std::lower_bound(pieces.begin(), pieces.end(), along - kHair,
                                     [](const LaidPiece& p, Length v) { return p.to < v; });
    if (at == pieces.end()) return;
    out.push_back({what, index, static_cast<std::size_t>(at - pieces.begin()), along - at->from, along});
  };
  if (!closed) add(What::end, 0, Length::metres(0));
  for (const OnRun& o : on_run) add(o.what, o.index, o.along);
  for (std::size_t j = 0; j < laid.joints.size(); ++j) add(What::joint, j, laid.joints[j]);
  if (!closed && !pieces.empty() && pieces.back().to >= run - kHair) add(What::end, 1, run);
  std::stable_sort(out.begin(), out.end(), [](const PieceMark& a, const PieceMark& b) {
    return std::tie(a.piece, a.along_piece) < std::tie(b.piece, b.along_piece);
  });
  return out;
}

}  // namespace deckmark
