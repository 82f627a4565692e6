#pragma once
/// Tables of as-built shots: asbuilt.csv and causes.csv.

#include <memory>

#include "lists/columns.h"
#include "stages/asbuilt.h"
#include "stages/brackets.h"

namespace deckmark {

extern const OutputSpec kAsbuiltOutput, kCausesOutput;

/// What `laid` views, `found` and the causes behind the lines outlive the tables.
/// Shots, then brackets that level or laser measured; null where there are none.
std::unique_ptr<WrittenTable> asbuilt_table(const LaidOut& laid, const AsbuiltFound* found,
                                            const BracketsJudged* brackets, LengthUnit unit);
std::unique_ptr<WrittenTable> causes_table(std::vector<CauseLine> lines, LengthUnit unit);

}  // namespace deckmark
