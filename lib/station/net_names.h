#pragma once
/// Inside the room: names that one setup has exchanged, from where it sees them.

#include <vector>

#include "station/net_build.h"

namespace deckmark::net {

/// Two points that a setup sees at one another's places: it keyed their names the wrong way round. Where two
/// setups alone see both points it may as well have been the other one, which is then told beside it. What an
/// exchange accounts for is taken out of `apart`.
[[nodiscard]] std::vector<Wrong> find_exchanged_names(const NetInput& input, const Solved& solved,
                                                      std::vector<SeenApart>& apart);

/// What one name seen at two places says of the setups that see it: a setup that turned, where all that it
/// sights from some sight on lies turned by one angle; else a sight that fell elsewhere, or, where no third
/// setup decides, either of the two.
[[nodiscard]] std::vector<Wrong> accounts_of_apart(const NetInput& input, const Solved& solved,
                                                   const std::vector<SeenApart>& apart);

}  // namespace deckmark::net
