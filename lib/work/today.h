#pragma once
/// What the floor of a job needs today.

#include <filesystem>
#include <string>

#include "work/run.h"

namespace deckmark {

/// What was typed of it.
struct TodayRequest {
  std::string as_issued = {};  ///< in place of books: all of this issue is taken to be marked on the floor
  std::string done = {};       ///< with `as_issued`: these numbers alone
  std::filesystem::path out = {};  ///< where the lists go; empty: nowhere
};
/// Holds what stands, by the books, against the last issue. Exit: outside where something stands that may not
/// stay as it is. Writes nothing without `out`. Doubt: a job that would hand out another issue than the last.
/// Problems: a job without issues, an issue or a number that is none, a book that does not hold, a folder
/// with other files. Throws SystemFailure.
JobOutcome needs_today(const JobRequest& request, const TodayRequest& today, Messages& messages);

}  // namespace deckmark
