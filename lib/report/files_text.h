#pragma once
/// The part of the summary that names the files of a run, written and read here alone: by it a later run
/// knows which files an earlier one made.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace deckmark {

struct FileLine {
  std::string name;
  std::optional<std::size_t> rows = {};                               ///< of a table
  std::optional<std::pair<std::int64_t, std::int64_t>> numbers = {};  ///< of the first and the last row
  std::string sha256 = {};
  bool is_of_crew = false;  ///< of one crew alone; a summary does not say so
};

std::string files_text(std::span<const FileLine> files);
/// The digests as `sha256sum -c` reads them, of the files that lie beside it.
std::string sums_text(std::span<const FileLine> files);
/// What `files_text` wrote into this summary, the same lines; what is not as it wrote it is left out.
std::vector<FileLine> read_files_text(std::string_view summary);

}  // namespace deckmark
