#pragma once
/// What a careful person would look at in readings of heights. Private to the room.

#include "stages/heights.h"

namespace deckmark {

/// Rows keyed twice or under a set-up's old name, columns that look exchanged, levels that were left out,
/// benchmarks that nobody read, and heights, set-ups and standings that nothing checks.
void doubt_heights(const HeightsStated& stated, const HeightsFound& out, Messages& told);

}  // namespace deckmark
