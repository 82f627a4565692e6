#pragma once
/// Soffits that level or laser measured, as the deck stage takes them.

#include <vector>

#include "stages/deck.h"
#include "stages/heights.h"

namespace deckmark {

/// The deck at every mark where it was measured; over a hanger that a trapeze bridges it is a shot like
/// others.
[[nodiscard]] MeasuredDecks measured_decks(const HeightsFound& found, const JobMarks& marks);
/// The same as shots on the deck, each on the bay that it lies in. Left out: those in no bay or in two, and
/// those of a bay that states its elevation.
[[nodiscard]] std::vector<StatedShot> measured_shots(const MeasuredDecks& measured, const JobMarks& marks,
                                                     const BaysStated& bays);

}  // namespace deckmark
