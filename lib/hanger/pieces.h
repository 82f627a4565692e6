#pragma once
/// Pieces laid along their run in order, and what to mark on top of each before it goes up.

#include <cstddef>
#include <cstdint>
#include <span>
#include <vector>

#include "hanger/members.h"
#include "measure/length.h"

namespace deckmark {

/// Lengths of pieces that differ from their run by no more than this add up to it.
inline constexpr Length kPiecesAddUp = Length::millimetres(1);

/// A piece where it lies along its run or member.
struct LaidPiece {
  Length from, to;
};

struct LaidPieces {
  /// Those that find place; the last one is cut to the run where it is too long.
  std::vector<LaidPiece> pieces;
  /// Along the run; a ring has one where its last piece meets its first, at its length.
  std::vector<Length> joints;
};
/// REQUIRES lengths above zero and at least one. Where the pieces add up to the run within `kPiecesAddUp` the
/// last one ends with it.
LaidPieces lay_pieces(std::span<const Length> lengths, Length run, bool closed);
/// Pieces of one length, the last one what is left.
std::vector<Length> equal_pieces(Length run, Length every);

/// Pieces that are laid along a member, by the places of its run's line beside which they lie.
LaidPieces beside_run(LaidPieces on_member, const Member& member);
/// Pieces that are laid along a run's line, cut square for one of its members: the first and the last that it
/// has reach to its ends.
struct PiecesOfMember {
  LaidPieces laid;
  std::size_t before = 0, behind = 0;  ///< pieces that lie where the member has ended: they find no place
};
PiecesOfMember cut_for(const LaidPieces& on_run, const Member& member, Length run, bool closed);

struct PieceMark {
  enum class What : std::uint8_t { hanger, joint, crossing, notch, end };
  What what;
  std::size_t index = 0;  ///< of the hanger or of the meeting of members
  std::size_t piece = 0;
  Length along_piece, along_run;
};
/// Something that a member has, beside a place of its run's line.
struct OnRun {
  PieceMark::What what;
  std::size_t index;
  Length along;
};
/// Marks by piece and along it. A place on a joint belongs to the piece that ends there, on a ring's start to
/// its first; what lies on no piece has no mark. `laid`: beside the run's line.
std::vector<PieceMark> piece_marks(const LaidPieces& laid, const Member& member, bool closed,
                                   std::span<const OnRun> on_run);

}  // namespace deckmark
