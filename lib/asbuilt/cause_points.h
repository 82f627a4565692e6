#pragma once
/// Private to the room: causes in elevation, and single marks.

#include "asbuilt/cause_search.h"

namespace deckmark::causes {

/// The same difference in the elevations of a group, and single marks off in elevation when groups are
/// accounted for. Levels are looked at alone too, since a deck scatters more than a floor. `raised`: what
/// causes in plan did to the elevation of every shot, metres.
std::vector<Cause> find_height_causes(const CausesInput& input, std::span<const std::size_t> order,
                                      std::span<const double> raised);

/// Marks that stand off beyond the scatter of what is left, one by one: digits exchanged, or the mark itself.
/// `field`: what the causes of many marks leave. `tried`: explanations that were weighed before.
std::vector<Cause> find_single_marks(const CausesInput& input, const Field& field, const Frame& frame,
                                     std::size_t tried);

}  // namespace deckmark::causes
