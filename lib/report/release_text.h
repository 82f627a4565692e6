#pragma once
/// Who released what for drilling, for the head of every sheet that says drill.

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace deckmark {

struct ReleaseLine {
  std::string what;  ///< `all`, `run R1`, `bay 2`
  std::string_view by, on, reference;
};

/// What stands over every sheet that says drill.
inline constexpr std::string_view kAsScanned = "Zones are as scanned. If the drill meets anything, stop.";

/// `Released for drilling: run R1, by A. Voss on 2026-11-25 (letter 12)`, a line each; that nothing is where
/// there are none; of many the first, and how many more. Then `kAsScanned`.
std::vector<std::string> release_lines(std::span<const ReleaseLine> released);
/// Such lines as text of 80 columns; nothing of none.
std::string release_text(std::span<const std::string> lines);
/// The same for the head of a sheet of that width.
std::vector<std::string> release_head(std::span<const std::string> lines, std::size_t width);

}  // namespace deckmark
