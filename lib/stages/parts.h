#pragma once
/// Parts to hold against the bill of materials: what is hung.

#include <optional>
#include <vector>

#include "report/overhead_text.h"
#include "stages/cuts.h"
#include "stages/overhead.h"

namespace deckmark {

/// Counts of what is hung. A hanger on a trapeze is none: its trapeze and the two supports are counted. A
/// run's end that is a corner is no end. `cuts`: null where nothing is cut.
std::vector<PartLine> parts_of(const JobMarks& marks, const Overhead& overhead, const CutsFound* cuts,
                               const CutOptions& options);
/// Whether the job has data from which parts are counted.
bool counts_parts(const OverheadJob& stated);
/// Whether it has pieces to mark.
bool has_pieces(const OverheadJob& stated);

}  // namespace deckmark
