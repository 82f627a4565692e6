#pragma once
/// What the program says of how it is called, from the commands' declarations.

#include <string>
#include <string_view>
#include <vector>

#include "command.h"

namespace deckmark {

/// What the program is for.
inline constexpr std::string_view kPurpose =
    "deckmark maps shop-drawing points into site points, lifts them plumb to the deck, checks the baselines, "
    "and "
    "writes numbered lists for an instrument.";
/// All commands by what they are for, in lines of `width` columns.
std::string overview(std::size_t width);
/// The help of one command: usage, what it does, options, examples, exit status.
std::string help_of(const CommandSpec& command, std::size_t width);

/// A list of words with their meanings, which begin at column `at`; a long word has a line of its own.
std::string row(std::string_view word, std::string_view meaning, std::size_t at, std::size_t width);

/// `; try --quiet` for a word that is not known: the one known word that it begins, else the one that it can
/// only mean. Where it begins several they are named and none is suggested. Empty: no word is near.
std::string suggested(std::string_view word, const std::vector<std::string>& known);

}  // namespace deckmark
