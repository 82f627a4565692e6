#pragma once
/// Inside the room: names that setups see at two places, and what that says of them.

#include <cstddef>
#include <vector>

#include "station/net_build.h"

namespace deckmark::net {

/// One name that a setup sees elsewhere than the net has it.
struct SeenApart {
  std::size_t point = 0;
  std::size_t setup = 0, sight = 0;
  Length apart = Length::metres(0);
};
[[nodiscard]] std::vector<SeenApart> find_apart(const NetInput& input, const Solved& solved);

/// Two points that a setup sees at one another's places: it keyed their names the wrong way round. Where two
/// setups alone see both points it may as well have been the other one, which is then told beside it. What an
/// exchange accounts for is taken out of `apart`.
[[nodiscard]] std::vector<Wrong> find_exchanged_names(const NetInput& input, const Solved& solved,
                                                      std::vector<SeenApart>& apart);

/// What else names seen apart say: a setup that turned, where all that it sights from some sight on lies
/// turned by one angle; else a direction, a distance, or a sight that fell elsewhere. Where no third setup
/// decides, the other one that sees the name is told beside it.
[[nodiscard]] std::vector<Wrong> accounts_of_apart(const NetInput& input, const Solved& solved,
                                                   const std::vector<SeenApart>& apart);

}  // namespace deckmark::net
