#pragma once
/// Tables of setups: setup.csv, sights.csv, the net's points, side shots, marks that were sighted, stake
/// lists, plans.

#include <memory>
#include <optional>

#include "lists/columns.h"
#include "stages/net.h"
#include "stages/setups.h"
#include "stages/sighted_marks.h"
#include "stages/stake.h"

namespace deckmark {

extern const OutputSpec kSetupOutput, kSightsOutput, kNetOutput, kShotsOutput, kMarksOutput, kStakeOutput,
    kStakeSheetOutput, kPlanOutput;

/// `stated`'s records of the job, `found` and what `laid` views outlive the tables.
std::unique_ptr<WrittenTable> setup_table(const SetupsStated& stated, const Setups& found, LengthUnit unit);
std::unique_ptr<WrittenTable> sights_table(const SetupsStated& stated, const Setups& found, LengthUnit unit);
/// Every point that was sighted, in the order first sighted.
std::unique_ptr<WrittenTable> net_table(const Sighted& sighted, LengthUnit unit);
/// The marks that one setup sighted; the table of deck marks and that of as-built shots read it.
std::unique_ptr<WrittenTable> marks_table(const LaidOut& laid, std::vector<SightedMark> marks,
                                          LengthUnit unit);
/// Of one setup, or of all.
std::unique_ptr<WrittenTable> shots_table(const SetupsStated& stated, const Setups& found, LengthUnit unit,
                                          std::optional<std::size_t> setup = std::nullopt);
std::unique_ptr<WrittenTable> stake_table(const SetupsStated& stated, const LaidOut& laid, StakeList list,
                                          LengthUnit unit);
/// The same columns, with the radius that holds 95 % and whether that is within the tolerance in plan.
std::unique_ptr<WrittenTable> plan_table(const SetupsStated& stated, const LaidOut& laid, StakeList list,
                                         LengthUnit unit);

}  // namespace deckmark
