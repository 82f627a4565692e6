#pragma once
/// Private to the room: how deep a text nests that is to be read as TOML.

#include <cstddef>
#include <optional>
#include <string_view>

namespace deckmark {

/// Sections, dotted keys, lists and tables in one another; each level counts one.
inline constexpr std::size_t kDeepestToml = 64;

/// The offset at which the text goes deeper than that; nothing where it does not. The parser and what walks
/// its tree call themselves for every level, so that a deep text would end the program: this is asked first.
std::optional<std::size_t> too_deep_at(std::string_view text);

}  // namespace deckmark
