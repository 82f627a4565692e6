#pragma once
/// What a misspelt word is to be, for a suggestion.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace deckmark {

/// The known word that a misspelt one can only mean: near enough, nearer than any other, and with the same
/// digits. (`nearest_word` takes any that is near: what is told of it is a doubt.)
std::optional<std::string> meant_word(std::string_view word, const std::vector<std::string>& known);

}  // namespace deckmark
