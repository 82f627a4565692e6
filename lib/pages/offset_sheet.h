#pragma once
/// The sheet for laser and tape.

#include <optional>
#include <string>
#include <string_view>

#include "report/offset_text.h"
#include "stages/crews.h"
#include "stages/cuts.h"
#include "stages/offsets.h"

namespace deckmark {

struct SheetInput {
  const JobHead& head;
  const OffsetsStated& stated;
  const std::vector<StatedRun>& runs;
  const LaidOut& laid;
  const OffsetsFound& found;
  std::string_view verdict;          ///< the first line of the summary
  const SheetDigests& sha256;        ///< of the lists that it belongs to
  const CrewShare& share;            ///< whose marks it holds; not empty
  std::optional<Elevation> datum{};  ///< the datum line, where the job states one
  const CutsFound* cuts = nullptr;   ///< of rods, where the job cuts them
  std::uint32_t issue = 0;           ///< that a sheet for paper belongs to; 0: none
};
/// For paper.
std::string offset_sheet(const SheetInput& input);
/// For the screen.
std::string offset_screen(const SheetInput& input);

}  // namespace deckmark
