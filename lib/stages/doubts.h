#pragma once
/// What a careful person would look at in the drawing.

#include <future>
#include <memory>
#include <optional>
#include <vector>

#include "hanger/hanger_options.h"
#include "job/overhead_job.h"
#include "marks/near_pairs.h"
#include "stages/laid_out.h"
#include "stages/shape.h"

namespace deckmark {

/// The search for points too close to one another, begun beside other stages where the drawing is long.
std::future<std::vector<NearPair>> begin_near_pairs(std::shared_ptr<const MarkTable> marks);

struct DrawingDoubts {
  std::optional<Length> max_spacing;   ///< of the drawing's own points along a run
  std::optional<Length> end_distance;  ///< and from the run's ends
  const std::vector<StatedRun>& runs;
  const std::vector<NamedTie>& ties;
  const ReadTable& ties_table;
  LengthUnit drawing_unit = LengthUnit::metre, site_unit = LengthUnit::metre;
  Where job;  ///< the job file
};
/// Doubts: what breaks the drawing's own pattern, spacing along runs, points too close to one another
/// (`near`), points beyond the ties, kinds that are spelled nearly like a known one. `placed`: null where
/// marks have no place on site; `shape`: null where the drawing has no runs. A point that breaks a pattern is
/// not told again for what follows from it: a space too wide, another point too close.
Messages look_at_drawing(const DrawingDoubts& stated, const JobMarks& marks, const Placed* placed,
                         std::future<std::vector<NearPair>> near, const ShapeFound* shape);

}  // namespace deckmark
