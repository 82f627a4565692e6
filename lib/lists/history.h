#pragma once
/// One number's history as a table.

#include <memory>
#include <span>
#include <vector>

#include "report/history_text.h"
#include "table/written.h"
#include "terms/output.h"

namespace deckmark {

extern const std::span<const OutColumn> kHistoryColumns;
std::unique_ptr<WrittenTable> history_table(std::vector<HistoryStep> steps, LengthUnit unit);

}  // namespace deckmark
