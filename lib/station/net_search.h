#pragma once
/// Inside the room: places of setups and points that no sheet holds, from directions and distances of
/// whatever kind.

#include <vector>

#include "station/net_start.h"

namespace deckmark::net {

/// Adds to a start what can be placed and oriented from the readings and is not yet.
///
/// Method    what has a place places the rest: a circle orients, a circle with a distance, or two of rays,
///           circles about known points and circles through two of them, give a place that a third confirms.
///           Where two places are left both are gone through, the square sum chooses. What hangs on nothing
///           known begins in a frame of its own, without a scale where no distance is read and without a hand
///           where no circle is, and is laid on the known by a similarity.
/// CAVEAT    a place that two readings alone give in two ways is chosen by what hangs on it, or left out.
void complete_start(const NetInput& input, Start& start);

}  // namespace deckmark::net
