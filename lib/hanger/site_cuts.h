#pragma once
/// Pieces that are longer together than their member: which of them to cut on site, and where.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "hanger/hanger_options.h"
#include "hanger/pieces.h"
#include "plane/outline.h"

namespace deckmark {

/// A saw takes nothing off that is shorter, and leaves nothing that is (common practice, no source).
inline constexpr Length kLeastSiteCut = Length::millimetres(1);
/// More pieces of one member than this are not cut: the drawing or its pieces are wrong.
inline constexpr std::size_t kMostSiteCuts = 50;

struct SitePiece {
  Length length;  ///< above zero
  MayCut may_cut = MayCut::both;
};

struct SiteCutTask {
  std::vector<SitePiece> pieces;  ///< one or more, in order from the member's start
  Length member;                  ///< its length, above zero
  bool closed = false;  ///< a ring's member: a stretch goes on beyond its length, or before its start
  /// No joint in one (a hanger and `joint_clear` on both sides of it); exactly on its ends is allowed. The
  /// ends of the member are no joints.
  std::vector<Stretch> no_joint;
  std::optional<Length> piece_least;  ///< no piece that is cut becomes shorter; DEFAULT `kLeastSiteCut`
};

struct SiteCut {
  std::size_t piece;
  Length amount;  ///< that is taken off
  AtEnd end;
};

/// Rules that no cuts keep together.
struct BrokenCutRules {
  bool joint_clear = false;  ///< a joint stands in one of the stretches
  bool piece_least = false;  ///< a piece that is cut becomes shorter
  bool may_cut = false;      ///< a piece is cut that must not be
  bool any() const { return joint_clear || piece_least || may_cut; }
};

struct SiteCutResult {
  std::vector<SiteCut> cuts;  ///< by piece; none where the pieces add up or are too short
  std::size_t unused = 0;     ///< pieces behind those that reach the member's finish: they find no place
  std::optional<Length> too_short;  ///< all pieces together by so much: nothing is cut
  BrokenCutRules broken;            ///< by `cuts`, since nothing keeps all rules
  bool adds_up() const { return cuts.empty() && !too_short; }
};

/// Which pieces to cut, by how much and at which end.
///
/// Shapes    the first pieces that reach the member's finish are laid, joint to joint from its start; those
///           behind are left whole. Within `kPiecesAddUp` of the finish nothing is cut; else what is taken
///           off is what is too much, exactly.
/// Method    the fewest pieces are cut. A joint is moved by what was taken off before it: from piece to piece
///           it is found which sums are reached with how many cuts and keep all rules, as intervals; so none
///           is missed, to `kMostSiteCuts`. Of equal ways: the one that cuts the last piece, then that which
///           cuts the first, then those nearest to the finish; the later one is cut by as much as it may, so
///           that joints stay near to where they are drawn.
/// End       the last piece at its finish, the first at its start, where joints stay as they came; others at
///           the finish; at the other end where `may_cut` says so.
/// Broken    where nothing keeps all rules one is given up: joints clear of hangers, else the least piece,
///           else both, and at last the piece that reaches the finish is cut whatever its `may_cut` says.
/// Accuracy  rules are kept to 1e-9 m for each piece.
/// CAVEAT    the joint where a ring's last piece meets its first lies at its start whatever is cut: it is not
///           looked at.
[[nodiscard]] SiteCutResult site_cuts(const SiteCutTask& task);

}  // namespace deckmark
