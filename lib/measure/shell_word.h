#pragma once
/// A path or a text as a shell takes it for one word: for commands that a message offers to be typed.

#include <string>
#include <string_view>

namespace deckmark {

std::string shell_word(std::string_view text);

}  // namespace deckmark
