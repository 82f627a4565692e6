#pragma once
/// Private to the room: what a person meant by a line of a job file that is not TOML.

#include <optional>
#include <string>
#include <string_view>

namespace deckmark {

/// The line as TOML, where one of the usual slips explains it: text without quotes, quotes or backslashes
/// inside the text, curly quotes, True for true, a doubled =, a bracket left out. What is returned can be
/// read.
std::optional<std::string> mended_toml_line(std::string_view line);

}  // namespace deckmark
