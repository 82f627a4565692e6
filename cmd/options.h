#pragma once
/// The command line, read with Boost.Program_options (which appears in options.cpp alone).

#include <variant>

#include "command.h"

namespace deckmark {

/// What the program knows of where it is run.
struct Terminal {
  bool color = false;  ///< standard error takes colours, and nobody said that there are to be none
  std::size_t width = kPaperWidth;
  std::size_t narrow = kPaperWidth;  ///< of what is told where a terminal may be very narrow
};

/// A text to print and an exit status, in place of a command to run.
struct Reply {
  std::string text;
  Exit exit;
};
struct Call {
  const CommandSpec* command;
  Arguments arguments;
  bool out_is_unused = false;  ///< --out was given to a command without an output folder
};
/// Options may stand before and behind the command's name; behind `--` nothing is an option.
std::variant<Call, Reply> read_command_line(std::span<const std::string> words, const Terminal& terminal);

}  // namespace deckmark
