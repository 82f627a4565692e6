#pragma once
/// What goes to a screen or into a sheet, shown and never obeyed.

#include <string>

namespace deckmark {

/// Text of several lines, shown as `visible` shows one: line feeds stay, form feeds that begin a line (a new
/// sheet), and blanks of every width but the tab. What goes to a screen or into a sheet passes through here
/// last, so that nothing from outside moves the cursor, colours the screen or turns the writing round. CAVEAT
/// a line feed within a value is not told from one between lines: a value that may hold one goes through
/// `visible` first.
std::string visible_lines(std::string text);

}  // namespace deckmark
