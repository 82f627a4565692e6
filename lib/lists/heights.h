#pragma once
/// Heights that level and laser measured.

#include <memory>

#include "lists/columns.h"
#include "stages/heights.h"

namespace deckmark {

extern const OutputSpec kHeightsOutput;

/// `numbers`: null where none are known.
std::unique_ptr<WrittenTable> heights_table(const HeightsStated& stated, const HeightsFound& found,
                                            const Numbers* numbers, LengthUnit unit);

}  // namespace deckmark
