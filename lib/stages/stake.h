#pragma once
/// What to stake out from a setup, in the order of a walk.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "job/instrument_job.h"
#include "stages/crews.h"
#include "stages/setups.h"
#include "station/stake.h"

namespace deckmark {

/// One line of a stake list.
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

struct StakeInput {
  const InstrumentJob& instrument;
  const std::vector<ControlPoint>& control;
  const std::vector<StatedRun>& runs;         ///< of the runs table
  const std::vector<std::string>& only;       ///< runs that are listed; empty: all
  Length plan_tolerance = Length::metres(0);  ///< of as-built marks
};
/// What to stake out from a setup; no lines where it has no orientation.
/// `share`: whose marks, on what levels.
StakeList stake_list(const StakeInput& input, const SetupFound& setup, const LaidOut& laid,
                     const CrewShare& share = {});
/// Whether there is an orientation, so that something can be staked out.
bool has_stakes(const SetupFound& setup);
/// The same from a planned spot.
StakeList planned_list(const StakeInput& input, const PlanFound& plan, const LaidOut& laid);

/// Whether `[list] only` leaves the mark in the lists.
bool is_listed(const MarkTable& marks, const std::vector<std::string>& only, std::size_t mark);

}  // namespace deckmark
