#pragma once
/// What a job says was released for drilling. Data only.

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "job/read_table.h"

namespace deckmark {

/// The word for all that the job has.
inline constexpr std::string_view kAllReleased = "all";

struct StatedRelease {
  enum class Kind : std::uint8_t { all, run, bay };
  std::string what;
  Kind kind = Kind::all;
  std::string by, on, reference;
};

struct ReleaseJob {
  ReadTable table;
  std::vector<StatedRelease> rows;  ///< nothing else may be drilled
};

}  // namespace deckmark
