#pragma once
/// What the job says of the instrument: its sds, where it stood, what it read, how marks are staked out.

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "measure/angle_text.h"
#include "station/setup.h"
#include "station/stake.h"
#include "table/message.h"
#include "table/reader.h"

namespace deckmark {

/// One `[[setup]]` as its keys and its observations say.
struct StatedSetup {
  std::string name;
  SetupPlace place = SetupPlace::free;
  std::optional<std::size_t> control;  ///< known: the row of the control table
  std::optional<std::string> over;     ///< known, no control: the name, as typed, that other setups sight
  std::optional<ControlMark> own;      ///< own: coordinates of the instrument, or of the spot that is planned
  Length height = Length::metres(0);
  bool has_height = false;
  std::optional<Angle> orientation;

  std::shared_ptr<const Table> table;  ///< of observations; none where the setup has none
  std::vector<std::string> targets;    ///< each name once, in the order of their first rows
  std::vector<Reading> readings;       ///< `target` is an index of `targets`
  std::vector<std::uint32_t> begins;   ///< rows of the readings

  std::vector<std::size_t> plan;  ///< control that will be sighted, before going out
  std::size_t rounds = 1;         ///< of the planned sights
  bool states_plan = false;       ///< readable or not
  Where where;                    ///< its place in the job file
  bool is_spoiled = false;        ///< its place or its readings have problems: it is not computed
  bool is_plan_spoiled = false;   ///< its place or its plan has

  /// Nothing was read yet, and nothing is said of the orientation: only a plan.
  bool is_planned_only() const { return states_plan && !table && !orientation; }
};

enum class StakeOrder : std::uint8_t { run, walk };

struct InstrumentJob {
  InstrumentOptions options;
  std::optional<AngleNotation> angles;  ///< how bare angles are read, and angles are printed
  StakeOptions stake;                   ///< but `tolerance`, which is that of as-built marks
  StakeOrder order = StakeOrder::run;
  std::optional<Length> control_sd;  ///< of control that states none; absent: it is exact
  bool states_setups = false;        ///< [[setup]], readable or not
  std::vector<StatedSetup> setups;
};

}  // namespace deckmark
