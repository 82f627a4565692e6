#pragma once
/// Marks that swing ties go out from, for the offset sheet.

#include <optional>
#include <string>
#include <vector>

#include "baseline/offsets.h"
#include "job/baseline_job.h"
#include "stages/laid_out.h"
#include "stages/staged.h"

namespace deckmark {

/// A mark that swing ties go out from, as it was found on site.
struct FromMark {
  std::string name;
  Point<Site> at;
};

struct OffsetsStated {
  const OffsetJob& offsets;
  const BaselinesStated& baselines;
  const std::vector<ControlPoint>& control;
  Where job;  ///< the job file
};

/// What the sheet starts from.
struct OffsetsFound {
  std::vector<FromMark> swing_from;  ///< two, or none
};
/// Absent where no sheet is wanted. Finds the marks of the swing ties and doubts those that cross flat.
/// Problems: unknown marks.
[[nodiscard]] Staged<OffsetsFound> look_at_offsets(const OffsetsStated& stated, const LaidOut& laid);

/// The swing tie of a mark; nothing without marks that ties go out from.
std::optional<SwingTie> swing_tie_of(const OffsetsFound& found, const Placed& placed, std::size_t mark);
/// A freed scale that shows on the tape somewhere in the drawing.
bool shows_scale(const OffsetJob& offsets, const JobMarks& marks, const Placed& placed);

}  // namespace deckmark
