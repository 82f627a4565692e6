#pragma once
/// Text broken at blanks into lines of a width.

#include <cstddef>
#include <string>
#include <string_view>

namespace deckmark {

/// A text in lines of `width` characters, with what begins the first and the others. A word that is longer
/// than a line stands on one of its own. Each line ends with a line feed.
std::string fold(std::string_view first, std::string_view next, std::string_view text, std::size_t width);

}  // namespace deckmark
