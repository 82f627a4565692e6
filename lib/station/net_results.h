#pragma once
/// Inside the room: what a solved net says of its setups and points.

#include <vector>

#include "station/net_build.h"

namespace deckmark::net {

/// `alone`: what each setup's sights to control say alone; it stands for setups that are not in the net.
[[nodiscard]] NetResult results_of(const Builder& builder, const Solved& solved, const Start& start,
                                   std::vector<SetupResult> alone);

}  // namespace deckmark::net
