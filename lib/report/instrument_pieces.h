#pragma once
/// Private to the room: pieces of text that setups, stake lists and plans share.

#include "measure/angle_text.h"
#include "measure/length.h"
#include "report/instrument_words.h"
#include "station/setup.h"

#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace deckmark {

/// A place or a distance as an instrument shows it, without its unit.
std::string shown(Length value, LengthUnit unit);
/// `decimal degrees`, `gon`: how circles are printed.
std::string notation_words(std::optional<AngleNotation> notation);
/// A sentence in lines of 80 columns, with what begins the first and the others.
std::string wrapped_text(const std::string& text, std::string_view first, std::string_view next);
/// What a careful person would look at, a sentence each.
std::string fact_lines(std::span<const SetupFact> facts, const SightNames& names, LengthUnit unit);

}  // namespace deckmark
