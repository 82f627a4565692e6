#pragma once
/// Where the instrument stood, what its sights say, and what to stake out from there.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <vector>

#include "job/instrument_job.h"
#include "station/setup.h"
#include "station/stake.h"

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

/// One setup, computed.
struct SetupFound {
  std::vector<TargetMeaning> targets;
  Reduction reduction;
  SetupResult result;
  std::vector<SightRow> rows;  ///< of control and of checks, in the order of the sights
  std::vector<SightCheck> checks;
  std::vector<SideShot> shots;
  Verdict verdict = Verdict::unsure;  ///< outside where one of `rows` is, else that of the setup
};

/// What a plan says of a spot, and its setup as `stake` takes it.
struct PlanFound {
  PlannedSetup planned;
  SetupResult setup;
};

/// By the index of the job's setups; none where a setup is only planned, or has no plan.
struct InstrumentFound {
  std::vector<std::optional<SetupFound>> setups;
  std::vector<std::optional<PlanFound>> plans;
};

/// One row of a stake list: a control point or a mark, and how to find it.
struct StakeLine {
  StakeLevel level = StakeLevel::floor;
  std::uint32_t index = 0;  ///< row of control, or mark
  StakeRow row;
};
struct StakeList {
  std::vector<StakeLine> lines;           ///< control first and last
  Length walk = Length::metres(0);        ///< from the instrument through all marks, in this order
  Length other_walk = Length::metres(0);  ///< in the other order that the job might have asked for
};

}  // namespace deckmark
