#pragma once
/// Inside the room: what else speaks of a mark whose direction or distance is named as wrong.

#include "station/setup.h"

namespace deckmark {

/// Lets the heights of a setup say whether the mark moved: sets `witness` and `raised`.
///
/// Method    a slope distance that is wrong by b puts the height off by b cos z where it puts the horizontal
///           distance off by b sin z; a mark that moved in plan leaves the height alone, one that was struck
///           seldom does. What is left of the height is held against its sd at 3.29 (alpha 0.001).
void hear_heights(SetupResult& result, const SetupInput& input, const InstrumentOptions& instrument);

}  // namespace deckmark
