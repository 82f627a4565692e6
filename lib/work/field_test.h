#pragma once
/// A field test of an instrument, from its table of readings to text. Stands beside jobs.

#include <filesystem>
#include <string>

#include "work/run.h"

namespace deckmark {

struct FieldTestRequest {
  std::filesystem::path table;
  std::filesystem::path with = {};  ///< a second table of the same test; empty: none
  std::string sd = {};              ///< the sd to hold the scatter against, as typed; empty: none
  bool with_rows = false;           ///< its table is wanted
};

/// Reads and judges; writes nothing. Exit: outside where the scatter is worse than the stated sd. Problems: a
/// table that cannot be read, and readings that leave nothing over.
JobOutcome judge_field_test(const FieldTestRequest& request, Messages& messages);

}  // namespace deckmark
