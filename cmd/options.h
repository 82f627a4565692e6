#pragma once
/// The command line, read with Boost.Program_options (which appears in options.cpp alone).

#include <variant>

#include "command.h"

namespace deckmark {

/// A text to print and an exit status, in place of a command to run.
struct Reply {
  std::string text;
  Exit exit;
};
struct Call {
  const CommandSpec* command;
  Arguments arguments;
};
/// What the program is for, and its commands; what one command does.
inline constexpr std::string_view kPurpose =
    "deckmark maps shop-drawing points into site points, lifts them plumb to the\n"
    "deck, checks the baselines, and writes numbered lists for an instrument.";
std::string overview();
std::string help_of(const CommandSpec& command);
/// Those that every command has.
std::span<const OptionSpec> shared_options();

std::variant<Call, Reply> read_command_line(std::span<const std::string> words, bool out_is_terminal,
                                            bool no_color);

}  // namespace deckmark
