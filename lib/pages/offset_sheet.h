#pragma once
/// The sheet for laser and tape.

#include <string>
#include <string_view>

#include "stages/crews.h"
#include "stages/offsets.h"

namespace deckmark {

/// `verdict`: the first line of the summary. `points_sha256`: of points.csv, by which the sheet can be told
/// to belong to a list. `share`: whose marks it holds; not empty.
std::string offset_sheet(const JobHead& head, const OffsetsStated& stated, const std::vector<StatedRun>& runs,
                         const LaidOut& laid, const OffsetsFound& found, std::string_view verdict,
                         const std::string& points_sha256, const CrewShare& share = {});

}  // namespace deckmark
