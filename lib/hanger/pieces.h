#pragma once
/// Pieces laid along their run in order, and what to mark on top of each before it goes up.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "measure/length.h"

namespace deckmark {

/// Lengths of pieces that differ from their run by no more than this add up to it.
inline constexpr Length kPiecesAddUp = Length::millimetres(1);

/// A piece where it lies along its run.
struct LaidPiece {
  Length from, to;
};

/// Where pieces and run disagree.
struct PieceMisfit {
  std::size_t piece;       ///< cut on site; the last one where the pieces are too short
  Length by;               ///< above zero: so much of the piece, or of the run, is left over
  bool too_long = false;   ///< the pieces are longer than the run, else shorter
  std::size_t unused = 0;  ///< pieces behind it that find no place
};

struct LaidPieces {
  std::vector<LaidPiece> pieces;  ///< those that find place; the last one cut to the run where it is too long
  std::vector<Length>
      joints;  ///< along the run; a ring has one where its last piece meets its first, at its length
  std::optional<PieceMisfit> misfit;
};
/// REQUIRES lengths above zero and at least one. Where the pieces add up to the run within `kPiecesAddUp` the
/// last one ends with it.
LaidPieces lay_pieces(std::span<const Length> lengths, Length run, bool closed);
/// Pieces of one length, the last one what is left.
std::vector<Length> equal_pieces(Length run, Length every);

struct PieceMark {
  enum class What : std::uint8_t { hanger, joint, crossing, end };
  What what;
  std::size_t index = 0;  ///< of the hanger or crossing
  std::size_t piece = 0;
  Length along_piece, along_run;
};
/// Something that stands on the run.
struct OnRun {
  PieceMark::What what;
  std::size_t index;
  Length along;
};
/// Marks by piece and along it. A place on a joint belongs to the piece that ends there, on a ring's start to
/// its first; what lies on no piece has no mark.
std::vector<PieceMark> piece_marks(const LaidPieces& laid, Length run, bool closed,
                                   std::span<const OnRun> on_run);

}  // namespace deckmark
