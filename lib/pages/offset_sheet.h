#pragma once
/// The sheet for laser and tape.

#include <optional>
#include <string>
#include <string_view>

#include "stages/crews.h"
#include "stages/offsets.h"

namespace deckmark {

struct SheetInput {
  const JobHead& head;
  const OffsetsStated& stated;
  const std::vector<StatedRun>& runs;
  const LaidOut& laid;
  const OffsetsFound& found;
  std::string_view verdict;          ///< the first line of the summary
  const std::string& points_sha256;  ///< of points.csv, by which the sheet can be told to belong to a list
  const CrewShare& share;            ///< whose marks it holds; not empty
  std::optional<Elevation> datum{};  ///< the datum line, where the job states one
};
/// For paper.
std::string offset_sheet(const SheetInput& input);
/// For the screen.
std::string offset_screen(const SheetInput& input);

}  // namespace deckmark
