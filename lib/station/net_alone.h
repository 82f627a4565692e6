#pragma once
/// Inside the room: each setup of a net by its sights to control alone.

#include <cstddef>
#include <vector>

#include "station/net.h"

namespace deckmark::net {

/// `names_all`: small errors too, which a net of several setups names better.
[[nodiscard]] SetupResult alone_of(const NetInput& input, std::size_t s, const NetOptions& options,
                                   bool names_all);
[[nodiscard]] std::vector<SetupResult> alone_of(const NetInput& input, const NetOptions& options);

}  // namespace deckmark::net
