#pragma once
/// Parts that are short.

#include <memory>

#include "lists/columns.h"
#include "stages/bill.h"

namespace deckmark {

extern const OutputSpec kShortOutput;

std::unique_ptr<WrittenTable> short_table(const BillFound& bill, const OverheadJob& stated, LengthUnit unit);

}  // namespace deckmark
