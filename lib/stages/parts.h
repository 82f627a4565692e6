#pragma once
/// Parts to hold against the bill of materials: what is hung.

#include <optional>
#include <vector>

#include "bill/delivery.h"
#include "report/overhead_text.h"
#include "stages/cuts.h"
#include "stages/overhead.h"

namespace deckmark {

/// Counts of what is hung. A hanger on a trapeze is none: its trapeze and the two supports are counted. A
/// run's end that is a corner is no end. `cuts`: null where nothing is cut.
std::vector<PartLine> parts_of(const JobMarks& marks, const Overhead& overhead, const CutsFound* cuts,
                               const CutOptions& options);
/// What parts can be needed for, on every run and behind them on what is on no run. Hangers count by the run
/// that their row names, on its line or off it.
std::vector<PlaceCounts> place_counts(const OverheadJob& stated, const JobMarks& marks,
                                      const Overhead& overhead);
/// A piece that the drawing names, how many of it hang, and how long one of them may be.
struct PieceHung {
  PieceNeed need;
  std::vector<Length> lengths;  ///< one or more
};
/// The pieces of the table of pieces, or those that `joint_every` makes.
std::vector<PieceHung> pieces_hung(const OverheadJob& stated, const Overhead& overhead);
/// Whether the job has data from which parts are counted.
bool counts_parts(const OverheadJob& stated);
/// Whether it has pieces to mark.
bool has_pieces(const OverheadJob& stated);

}  // namespace deckmark
