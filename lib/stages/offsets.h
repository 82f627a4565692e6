#pragma once
/// Marks that swing ties go out from and strings run between, for the offset sheet.

#include <algorithm>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "baseline/offsets.h"
#include "job/baseline_job.h"
#include "stages/laid_out.h"
#include "stages/staged.h"
#include "stages/strings.h"

namespace deckmark {

struct OffsetsStated {
  const OffsetJob& offsets;
  const BaselinesStated& baselines;
  const std::vector<ControlPoint>& control;
  Where job;  ///< the job file
  /// Marks that stand on the floor by the books: they were laid out from the strings as these hang now.
  std::uint32_t marks_made = 0;
};

/// What the sheet starts from.
struct OffsetsFound {
  std::vector<FromMark> swing_from;       ///< two, or none
  std::optional<StringsFound> strings{};  ///< where the job states them
  CornersFound corners{};                 ///< with strings

  /// The mark is on the floor before the sheet is used: it is no row there.
  bool stands(std::uint32_t mark) const {
    return strings && std::binary_search(strings->stand.begin(), strings->stand.end(), mark);
  }
};
/// Absent where no sheet is wanted. Finds the marks of the swing ties and doubts those that cross flat; finds
/// the strings, and which of their corner marks to move. Problems: unknown marks, strings that are none.
/// `checked`: null where nothing was taped.
[[nodiscard]] Staged<OffsetsFound> look_at_offsets(const OffsetsStated& stated, const LaidOut& laid,
                                                   const Checked* checked = nullptr);

/// The swing tie of a mark; nothing without marks that ties go out from.
std::optional<SwingTie> swing_tie_of(const OffsetsFound& found, const Placed& placed, std::size_t mark);
/// How far a mark lies from the strings; nothing without strings.
std::optional<StringDistances> from_strings(const OffsetsFound& found, const Placed& placed,
                                            std::size_t mark);
/// Likewise; without strings from the baselines as the fit placed them: x and y, times a freed scale.
StringDistances from_strings_or_baselines(const OffsetsFound& found, const LaidOut& laid, std::size_t mark);
/// A freed scale that shows on the tape somewhere in the drawing.
bool shows_scale(const OffsetJob& offsets, const JobMarks& marks, const Placed& placed);

}  // namespace deckmark
