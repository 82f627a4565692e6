#pragma once
/// Inside the room: where a setup and its readings are stated, and what its sights are called.

#include <cstddef>
#include <string_view>

#include "job/instrument_job.h"
#include "report/instrument_words.h"

namespace deckmark {

inline constexpr std::size_t kTargetCell = 0;  ///< column of observations that messages of a target point at

inline Where where_read(const StatedSetup& s, std::size_t reading) {
  return s.table->where(s.begins[reading], kTargetCell);
}
inline Where where_all(const StatedSetup& s) { return s.table ? s.table->whole() : s.where; }
inline SightNames sight_names(const StatedSetup& s, const Reduction& reduction) {
  return {s.name, [&s, &reduction](std::size_t sight) {
            return std::string_view(s.targets[reduction.sights[sight].target]);
          }};
}

}  // namespace deckmark
