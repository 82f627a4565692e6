#pragma once
/// The drawing held against itself.

#include <cstddef>
#include <cstdint>
#include <future>
#include <memory>
#include <string>
#include <vector>

#include "hanger/trapeze.h"
#include "job/overhead_job.h"
#include "report/shape_text.h"
#include "shape/shape.h"
#include "stages/job_marks.h"

namespace deckmark {

/// What breaks the drawing's regularity, in the order of the drawing.
struct ShapeFound {
  std::vector<ShapeBreak> breaks;
  std::vector<ShapeUnsure> unsure;  ///< doubts without a row
  /// Of every run that the drawing has points of; `breaks` count these, and behind them the rows of the runs
  /// table in `lines`.
  std::vector<std::uint32_t> first_point, lines;
  bool any_runs = false;            ///< the drawing has points of runs, or a runs table
  std::vector<std::uint32_t> told;  ///< marks that break something, sorted

  /// Whether something is told of a mark: it need not be told otherwise too.
  bool tells(std::uint32_t mark) const;
};

/// What the drawing's points are held against.
struct ShapeAgainst {
  std::vector<StatedRun> runs;  ///< of the runs table
  std::vector<Obstruction> obstructions;
};
/// The search, begun beside other stages where the drawing is long. Of the drawing's own points that have a
/// run, but those of kind reference, and the lines of the runs table that have none. A point that would stand
/// in an obstruction by its spacing, and stands clear, was moved on purpose.
std::future<ShapeFound> begin_shape(std::shared_ptr<const MarkTable> marks, std::size_t drawn,
                                    ShapeAgainst against, LengthUnit drawing_unit);

/// The breaks with their names, in their order. `runs`: of the runs table. Valid while all three are.
std::vector<ShapeLineTold> shape_lines(const ShapeFound& found, const MarkTable& marks,
                                       const std::vector<StatedRun>& runs);
/// Doubts, each at the cell of its point or run.
Messages tell_shape(const ShapeFound& found, const JobMarks& marks, const std::vector<StatedRun>& runs,
                    LengthUnit drawing_unit);

}  // namespace deckmark
