#pragma once
/// What is told of the hangers that were spaced along a run.

#include "stages/overhead.h"

namespace deckmark {

/// Doubts: rules that its hangers break, a ring on few hangers, hangers that moved far to a fastening line.
void tell_spacing(const OverheadJob& stated, std::size_t run, const RunFound& found, LengthUnit unit,
                  Messages& told);

}  // namespace deckmark
