#pragma once
/// Marks under decks in bays. Private to the room.

#include <cstdint>
#include <vector>

#include "stages/deck.h"

namespace deckmark {

/// Of a mark that lies in no bay, or in two.
inline constexpr std::uint32_t kNoBay = 0xFFFFFFFF;

/// The bay of every mark; 0 of a reference point, which has no deck. Problems: marks in no bay or in two.
std::vector<std::uint32_t> place_in_bays(const DeckStated& stated, const Hung& hung, Messages& told);
/// Holds what is fastened over flutes against their fastening lines (doubts).
void hold_on_lines(const Hung& hung, const std::vector<std::uint32_t>& of_mark, LengthUnit unit,
                   Messages& told);
std::vector<BayStep> steps_between(const BaysStated& bays, const std::vector<Deck>& decks,
                                   const FittedTransform& fit);

}  // namespace deckmark
