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
#include "stages/staged.h"
#include "station/setup.h"

namespace deckmark {

/// What a target's name means.
enum class TargetRole : std::uint8_t {
  control,
  floor,  ///< a numbered point: a check against the list
  deck,
  side  ///< neither: a side shot
};
struct TargetMeaning {
  TargetRole role = TargetRole::side;
  std::uint32_t index = 0;  ///< row of control, or mark
};

/// Rows of one sight to a numbered point.
struct SightCheck {
  std::size_t sight = 0;
  Length miss = Length::metres(0);  ///< in plan, as seen from the setup
  Verdict verdict = Verdict::within;
};

struct SetupFound {
  std::vector<TargetMeaning> targets;  ///< of each name
  Reduction reduction;
  SetupResult result;
  std::vector<SightRow> rows;  ///< of control and of checks, in the order of the sights
  std::vector<SightCheck> checks;
  std::vector<SideShot> shots;
  Verdict verdict = Verdict::unsure;  ///< outside where one of `rows` is, else that of the setup
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

struct SetupsStated {
  const InstrumentJob& instrument;
  const std::vector<ControlPoint>& control;
  std::set<std::string> used;  ///< names of ties and deck shots, in small letters: side shots that were meant
  Length plan_tolerance = Length::metres(0);  ///< of as-built marks
  std::optional<Elevation> floor;             ///< as stated
  LengthUnit site_unit = LengthUnit::metre;
  const std::vector<SiblingStorey>* storeys = nullptr;  ///< whose marks are refused; null: none
};
/// What is known of marks that may have been sighted.
struct SightedMarks {
  const LaidOut* laid = nullptr;    ///< null where they have no place on site: sights to them are no checks
  const JobMarks* drawn = nullptr;  ///< by name all the same, or null
  bool are_known = true;            ///< else any name may be one of theirs: no name is odd
};
/// Absent without setups. Reduces and adjusts every setup that is not spoiled, checks numbered points that
/// were sighted, finds side shots, predicts plans. What is wrong with one setup spoils it alone.
[[nodiscard]] Staged<Setups> set_up(const SetupsStated& stated, const SightedMarks& marks);

}  // namespace deckmark
