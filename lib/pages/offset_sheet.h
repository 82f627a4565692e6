#pragma once
/// The sheet for laser and tape.

#include <string>
#include <string_view>

#include "stages/offsets.h"

namespace deckmark {

/// `verdict`: the first line of the summary. `points_sha256`: of points.csv, by which the sheet can be told
/// to belong to a list.
std::string offset_sheet(const JobHead& head, const OffsetsStated& stated, const std::vector<StatedRun>& runs,
                         const LaidOut& laid, const OffsetsFound& found, std::string_view verdict,
                         const std::string& points_sha256);

}  // namespace deckmark
