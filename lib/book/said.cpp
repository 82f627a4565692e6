#include "book/said.h"

namespace deckmark {

std::string_view due_word(Due due) {
  constexpr std::string_view kWords[] = {"", "first", "count", "time", "out", "asked"};
  return kWords[static_cast<std::size_t>(due)];
}

std::string with_lengths(std::string_view text, std::span<const Length> lengths,
                         const std::function<std::string(Length)>& words) {
  std::string out;
  std::size_t next = 0;
  for (const char c : text) {
    if (c == kLengthHere && next < lengths.size())
      out += words(lengths[next++]);
    else
      out += c;
  }
  return out;
}

}  // namespace deckmark
