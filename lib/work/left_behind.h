#pragma once
/// Private to the room: what runs that did not end well left in the folders that a run writes to.

#include <filesystem>
#include <set>
#include <span>
#include <string>

#include "table/message.h"

namespace deckmark {

/// Where a run writes, and what.
struct OutputPlace {
  std::filesystem::path ledger, folder, summary;
  std::set<std::string> made;     ///< names of all files in `folder` that this run makes
  std::set<std::string> earlier;  ///< and of those that runs before it made there, as far as is known
  bool summary_tells = true;      ///< false where a summary stands there and names no files
};

/// Problems: a summary that cannot be read, earlier content that a failed run could not put back. Doubts:
/// files of two runs side by side, and where no summary tells what earlier runs made, every file that may be
/// theirs.
void tell_left_behind(const OutputPlace& place, std::span<const std::filesystem::path> inputs,
                      Messages& messages);

}  // namespace deckmark
