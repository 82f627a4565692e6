#pragma once
/// What a run says on the screen: how the job stands, what to do next, what changed, where the files are.

#include <cstddef>
#include <functional>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "report/files_text.h"
#include "report/reason.h"

namespace deckmark {

/// Lines of the screen of a job that is ready.
inline constexpr std::size_t kShortLines = 24;

/// What a crew with laser and tape takes along.
struct TapeSheet {
  std::string file;       ///< to print
  std::size_t marks = 0;  ///< on it
  std::string check;      ///< a length to hold the tape against first: `B1 to B2 is 56'-0"`; may be empty
};

struct ShortRun {
  std::string_view line;  ///< the verdict
  JobVerdict verdict = JobVerdict::ready;
  std::span<const Reason> reasons{};
  std::span<const std::string> release{};  ///< for drilling
  std::size_t marks = 0;                   ///< that have a number
  std::vector<FileLine> floor{}, deck{};   ///< lists to load; one of both levels stands in `floor`
  std::string check{};                     ///< as of `check_text`; empty: no two marks to check by
  std::vector<std::string> of_crews{};     ///< files of one crew alone
  std::vector<std::string> stakes{};       ///< sheets for an instrument that stands where a setup says
  std::optional<TapeSheet> tape{};
  bool tape_alone = false;  ///< the job has no control and no instrument
  std::string strings{};    ///< the command that shows the sheet, where strings alone place the marks
  std::string corners{};    ///< corner marks to move first; empty: none
  std::string storey{};     ///< as of `storey_line`
  std::string folder{};     ///< of the files, as it was typed
  std::size_t files = 0;    ///< in it
  /// What is short, in at most so many lines; empty: nothing is said of parts.
  std::function<std::string(std::size_t lines)> parts{};
  /// What changed, at most so many of them in words. Empty: no numbers are given.
  std::function<std::string(std::size_t most)> changes{};
};

/// At most `kShortLines` lines where the job is ready; lines of 80 columns but the verdict.
std::string short_text(const ShortRun& run);

}  // namespace deckmark
