#pragma once
/// Control that lies elsewhere now than when an issue was handed out, or the baselines were signed: then ties
/// that were measured with it and marks that are staked from it no longer belong together.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "issues/control.h"
#include "job/baseline_job.h"
#include "job/instrument_job.h"
#include "job/stated.h"
#include "stages/issue.h"
#include "stages/laid_out.h"
#include "stages/setups.h"

namespace deckmark {

/// Control as issues and signed fits keep it.
std::vector<KeptControl> kept_control(const std::vector<ControlPoint>& control);

struct MovedControlStated {
  const std::vector<ControlPoint>& control;
  const ReadTable& control_table;
  const std::vector<IssuedControl>& issued;
  const Ledger& ledger;
  const BaselineJob& checks;  ///< a signed fit
  const InstrumentJob& instrument;
  const std::vector<NamedTie>& ties;
  const bool& states_ties;
  const std::vector<std::string>& only;  ///< runs that are listed; empty: all
  LengthUnit words = LengthUnit::metre;  ///< of messages
  bool ties_are_read = false;            ///< by the setups: they follow the control
};
/// Doubts: each control point that moved by more than 3 mm, or most of it in one, by how much, since when,
/// and what it touches. What is not there (null) is left out; without `issue` it is the last one again.
[[nodiscard]] Messages look_at_moved_control(const MovedControlStated& stated, const IssueFound* issue,
                                             const LaidOut* laid, const Setups* setups);

}  // namespace deckmark
