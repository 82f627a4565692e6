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
std::variant<Call, Reply> read_command_line(std::span<const std::string> words, bool out_is_terminal,
                                            bool no_color);

}  // namespace deckmark
