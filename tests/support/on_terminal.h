#pragma once
/// Runs a program as on a terminal of a stated width.

#include <string>

#include "support/command.h"

namespace deckmark_test {

/// Standard output and error together are the terminal's, in `out`, with line feeds alone at the ends of
/// lines; among it the echo of what is `typed`, which is there from the first on. `run.out_target` is not
/// looked at. Throws std::runtime_error where the system gives no terminal.
CommandResult run_on_terminal(const CommandRun& run, unsigned short columns, const std::string& typed = "");

}  // namespace deckmark_test
