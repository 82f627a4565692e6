#include "report/moves_text.h"

#include <doctest/doctest.h>

#include <string>
#include <vector>

using namespace deckmark;

TEST_CASE("moves in words: which mark, how far, toward which other or away from it") {
  const auto inches = [](double v) { return Length::inches(v); };
  const auto words = [](const std::vector<NamedMove>& moves, LengthUnit unit = LengthUnit::feet_inches) {
    return moves_words(moves, unit);
  };
  CHECK(words({}).empty());
  CHECK(words({{"B2", "B3", inches(0.25)}}) == "Move B2 1/4\" toward B3, then tape again.");
  CHECK(words({{"B2", "B3", inches(-1.125)}}) == "Move B2 1 1/8\" away from B3, then tape again.");
  CHECK(words({{"B2", "B1", inches(0.25)}, {"B2", "B4", inches(-0.5)}}) ==
        "Move B2 1/4\" toward B1 and 1/2\" away from B4, then tape again.");
  CHECK(words({{"B2", "B1", inches(0.25)}, {"B3", "B1", inches(0.5)}}) ==
        "Move B2 1/4\" toward B1; move B3 1/2\" toward B1, then tape again.");
  CHECK(words({{"B2", "B3", Length::millimetres(6.25)}}, LengthUnit::metre) ==
        "Move B2 6.3 mm toward B3, then tape again.");
  CHECK(words({{"B2", "B3", inches(0.25)}}, LengthUnit::foot) ==
        "Move B2 0.25 in toward B3, then tape again.");
}
