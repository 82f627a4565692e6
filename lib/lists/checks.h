#pragma once
/// Tables of the baselines: baseline.csv and checks.csv; ground.csv of the control.

#include <memory>

#include "lists/columns.h"
#include "stages/ground.h"
#include "stages/lengths.h"

namespace deckmark {

extern const OutputSpec kBaselineOutput, kChecksOutput, kGroundOutput;

/// REQUIRES a baseline.
std::unique_ptr<WrittenTable> baseline_table(const BaselinesStated& stated, const Placed& placed,
                                             LengthUnit unit);
bool has_checks(const Placed* placed, const Checked* checked);
std::unique_ptr<WrittenTable> checks_table(const BaselinesStated& stated, const Placed* placed,
                                           const Checked* checked, LengthUnit unit);
std::unique_ptr<WrittenTable> ground_table(const GroundStated& stated, const GroundFound& found,
                                           LengthUnit unit);

}  // namespace deckmark
