#pragma once
/// What as-built shots are judged by.

#include <cstdint>
#include <string_view>

#include "measure/length.h"

namespace deckmark {

/// What a shot was taken on: the mark on the floor, the point on the deck, or the bracket of a hanger.
enum class AsbuiltLevel : std::uint8_t { floor, deck, bracket };
/// Their words, in their order.
inline constexpr std::string_view kAsbuiltLevelWords[] = {"floor", "deck", "bracket"};
/// `floor`, `deck`, `bracket`.
std::string_view level_word(AsbuiltLevel level);

struct AsbuiltOptions {
  Length sd = Length::millimetres(2);         ///< DEFAULT per axis, where a shot states none
  Length plan = Length::millimetres(6);       ///< DEFAULT tolerance of the offset in plan
  Length elevation = Length::millimetres(3);  ///< DEFAULT tolerance of a bracket's elevation
  bool guarded = false;                       ///< DEFAULT simple acceptance
  bool by_nearest = false;                    ///< DEFAULT by name or number
  Length radius = Length::millimetres(150);   ///< DEFAULT by nearest: no further than this
};

}  // namespace deckmark
