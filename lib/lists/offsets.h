#pragma once
/// offsets.csv: distances along the baselines and swing ties.

#include <memory>

#include "lists/columns.h"
#include "stages/offsets.h"

namespace deckmark {

extern const OutputSpec kOffsetsOutput, kOffsetSheetOutput;

/// Lengths are texts in the form of the sheet. `laid` and `found` outlive the table.
std::unique_ptr<WrittenTable> offsets_table(const OffsetJob& stated, const std::vector<StatedRun>& runs,
                                            const LaidOut& laid, const OffsetsFound& found);

}  // namespace deckmark
