#pragma once
/// What deck shots show, in words. Private to the room.

#include <cstddef>
#include <span>
#include <string>

#include "stages/deck.h"

namespace deckmark {

/// The cell of a shot's name, or of the reading that measured it.
Where shot_row(const DeckStated& stated, std::size_t shot);
/// All shots as such: their table, or the first reading. REQUIRES a shot.
Where shots_place(const DeckStated& stated);
/// `shot D3 lies 4.4721 m from the nearest other; ...`. `shots`: as the job states them.
std::string lone_words(const DeckStated& stated, std::span<const std::size_t> shots, const LoneShot& lone);
/// A height as a foreman reads it: `16.200 m`.
std::string elevation_words(Elevation elevation, LengthUnit unit);

/// Tells what the shots of every deck show, one line a cause. `is_problem`: shots that are wrong by height
/// put the deck where it cannot be.
void tell_shots(const DeckStated& stated, const DecksFitted& fitted, bool is_problem, Messages& told);

}  // namespace deckmark
