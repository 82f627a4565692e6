#pragma once
/// What planning overhead found: hangers generated along runs, trapezes, bays, cuts. Rows are named by index.

#include <cstdint>
#include <limits>
#include <optional>
#include <string>
#include <vector>

#include "hanger/crossings.h"
#include "hanger/cut_list.h"
#include "hanger/pieces.h"
#include "hanger/spacing.h"
#include "hanger/trapeze.h"
#include "job/overhead_job.h"
#include "lift/bays.h"
#include "lift/lift.h"
#include "plane/path.h"

namespace deckmark {

struct HangerOnRun {
  std::uint32_t mark;
  Length along;
};

/// A run with what hangs on it, in the order of the runs table.
struct RunFound {
  Path path;
  SpacingTask task;
  SpacingResult spacing;
  std::vector<HangerOnRun> hangers;      ///< along the run; the drawing's own points of the run too
  std::vector<std::string> piece_names;  ///< of the pieces that find place
  LaidPieces laid;
  std::vector<PieceMark> marks;  ///< index: of `hangers`, or of the crossings
  bool along_flutes = false;     ///< over some bay: its hangers are not moved to fastening lines there
};

struct TrapezeFound {
  std::uint32_t hanger;
  Trapeze trapeze;
  std::optional<std::uint32_t> first, second;  ///< marks of the supports
};

/// A step from one bay to the next, at the middle of their edge.
struct BayStep {
  std::size_t first, second;
  Length up;  ///< of the second over the first
};

struct BaysFound {
  std::vector<std::string> names;
  std::vector<Outline> outlines;
  std::vector<std::size_t> first_row;  ///< of its corners in the table
  std::vector<std::optional<Elevation>> levels;
  std::vector<std::optional<StatedFlutes>> flutes;
  std::vector<Deck> decks;
  std::vector<std::optional<DeckResult>> fits;  ///< with shots
  std::vector<std::uint32_t> of_mark;
  std::vector<BayStep> steps;
};

struct OverheadFound {
  std::size_t drawn = std::numeric_limits<std::size_t>::max();  ///< marks below this are the drawing's
  std::vector<std::uint32_t>
      from_run;  ///< of every further mark: its run, or `kOfHanger` and the hanger that it supports
  std::size_t supports = std::numeric_limits<std::size_t>::max();  ///< marks from here on are supports
  std::vector<std::uint8_t> bridged;                               ///< of every mark; empty without trapezes
  std::vector<RunFound> runs;
  std::vector<Crossing> crossings;
  std::vector<std::string> obstruction_names;
  std::vector<Outline> obstruction_outlines;
  std::vector<TrapezeFound> trapezes;
  BaysFound bays;
  std::vector<std::uint32_t> cut_marks;  ///< hangers with a rod, by mark
  std::vector<std::optional<Length>> drops, cuts;
  CutListResult cut_list;  ///< with a stock length and drops; by the order of those that have a cut
  std::vector<std::optional<std::uint32_t>> stock_piece;  ///< of `cut_marks`, from 1
};
inline constexpr std::uint32_t kOfHanger = 0x80000000U;

}  // namespace deckmark
