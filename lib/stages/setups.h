#pragma once
/// Where the instrument stood, and what its sights say.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "job/instrument_job.h"
#include "job/parts.h"
#include "job/stated.h"
#include "stages/laid_out.h"
#include "stages/net.h"
#include "stages/staged.h"
#include "station/setup.h"

namespace deckmark {

/// Rows of one sight to a numbered point.
struct SightCheck {
  std::size_t sight = 0;
  Length miss = Length::metres(0);  ///< in plan, as seen from the setup
  Verdict verdict = Verdict::within;
};

struct SetupFound {
  std::size_t setup = 0;               ///< of the job
  std::vector<TargetMeaning> targets;  ///< of each name
  Reduction reduction;
  SetupResult result;
  std::vector<SightRow> rows;  ///< of control and of checks, in the order of the sights
  std::vector<SightCheck> checks;
  std::vector<SideShot> shots;
  Verdict verdict = Verdict::unsure;  ///< of the setup: a mark that is off is not its fault
};

/// What a planned setup would be good to.
struct PlanFound {
  PlannedSetup planned;
  SetupResult setup;
};

/// In the order of the setups; nothing where a setup has no observations, or no plan, or where that is
/// spoiled.
struct Setups {
  std::vector<std::optional<SetupFound>> setups;
  std::vector<std::optional<PlanFound>> plans;
  std::vector<SetupMessages> told;  ///< of each
  bool any_computed() const {
    for (const auto& s : setups)
      if (s) return true;
    return false;
  }
};

/// What is known of marks that may have been sighted.
struct SightedMarks {
  const LaidOut* laid = nullptr;    ///< null where they have no place on site: sights to them are no checks
  const JobMarks* drawn = nullptr;  ///< by name all the same, or null
  bool are_known = true;            ///< else any name may be one of theirs: no name is odd
};
/// Absent without setups. Checks numbered points that were sighted, finds side shots, predicts plans. What is
/// wrong with one setup spoils it alone.
[[nodiscard]] Staged<Setups> set_up(const SetupsStated& stated, const NetFound& net,
                                    const SightedMarks& marks);

}  // namespace deckmark
