#pragma once
/// Private to the room: pieces of text that setups, stake lists and plans share.

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "measure/angle_text.h"
#include "measure/length.h"
#include "report/instrument_words.h"
#include "station/setup.h"

namespace deckmark {

/// A place or a distance as an instrument shows it, without its unit.
std::string shown(Length value, LengthUnit unit);
/// `decimal degrees`, `gon`: how circles are printed.
std::string notation_words(std::optional<AngleNotation> notation);
/// What a careful person would look at, a sentence each.
std::string fact_lines(std::span<const SetupFact> facts, const SightNames& names, LengthUnit unit);

}  // namespace deckmark
