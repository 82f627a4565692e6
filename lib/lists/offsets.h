#pragma once
/// offsets.csv: distances along the baselines, from strings and swing ties; corners.csv: marks to move first.

#include <memory>
#include <string>
#include <vector>

#include "lists/columns.h"
#include "stages/crews.h"
#include "stages/offsets.h"

namespace deckmark {

extern const OutputSpec kOffsetsOutput, kCrewOffsetsOutput, kOffsetSheetOutput, kCrewOffsetSheetOutput,
    kCornersOutput;

/// Columns of offsets.csv that a sheet shows as distances: from the strings, or without them along the axes.
std::vector<std::string> sheet_distances(bool strings);

/// Lengths are texts in the form of the sheet. `laid` and `found` outlive the table.
/// `share`: whose marks it holds.
std::unique_ptr<WrittenTable> offsets_table(const OffsetJob& stated, const std::vector<StatedRun>& runs,
                                            const LaidOut& laid, const OffsetsFound& found,
                                            const CrewShare& share = {});

/// Corner marks to move before strings are stretched.
std::unique_ptr<WrittenTable> corners_table(const CornersFound& corners, LengthUnit unit);

}  // namespace deckmark
