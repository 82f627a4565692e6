#pragma once
/// Marks of the list that one setup sighted, against their design.

#include <cstdint>
#include <optional>
#include <vector>

#include "job/overhead_job.h"
#include "stages/laid_out.h"
#include "stages/setups.h"

namespace deckmark {

struct SightedMark {
  std::uint32_t mark = 0;
  bool on_deck = false;
  Vec<Drawing> off;               ///< sighted minus design, lengths on site along +X, +Y
  std::optional<Length> up;       ///< sighted minus design in elevation; absent where one is not known
  Length sd = Length::metres(0);  ///< of its place as that setup sees it: semi-major of the error ellipse
  Verdict verdict = Verdict::within;
  /// `off` towards the last point of its run, and to the left of that way as one walks on site; absent
  /// without a run that leads somewhere.
  std::optional<Length> along_run{}, left_of_run{};
};

/// In the order of the sights, each mark and level once, by its first sight that gives a place. `runs`: of
/// the runs table. `floor`: as stated.
[[nodiscard]] std::vector<SightedMark> sighted_marks(const SetupFound& setup, const LaidOut& laid,
                                                     const std::vector<StatedRun>& runs,
                                                     std::optional<Elevation> floor,
                                                     const InstrumentOptions& instrument);

}  // namespace deckmark
