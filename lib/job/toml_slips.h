#pragma once
/// Private to the room: what a person meant by a line of a job file that is not TOML.

#include <optional>
#include <string>
#include <string_view>

namespace deckmark {

/// The line as TOML, where one of the usual slips explains it: text without quotes, quotes or backslashes
/// inside the text, curly quotes, True for true, a doubled =, a colon for it, a bracket left out. What is
/// returned can be read, and its key takes a value of that kind.
std::optional<std::string> mended_toml_line(std::string_view line);
/// What such a line is to be, where it cannot be mended: a number, true or false, a list that is closed.
std::string wanted_toml_line(std::string_view line);
/// True where the line begins a list or an inner table that it does not close.
bool leaves_open(std::string_view line);

}  // namespace deckmark
