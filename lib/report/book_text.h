#pragma once
/// What the book's dialogue says to a crew on a terminal.

#include <span>
#include <string>

#include "baseline/offset_form.h"
#include "book/said.h"

namespace deckmark {

/// How a dialogue is told to a person.
struct BookWords {
  OffsetForm form{};       ///< of lengths
  std::size_t width = 80;  ///< columns; 40 at the least
};
/// Sentences in place of the lines of a pipe, one a line of the screen or more; what is waited for stands
/// last, without a line end: what is typed comes behind it.
std::string book_text(std::span<const Said> said, const BookWords& words);

}  // namespace deckmark
