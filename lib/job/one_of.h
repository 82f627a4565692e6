#pragma once
/// Words of which one is to be written.

#include <cstddef>
#include <string>

namespace deckmark {

/// `fixed, free or none`.
template <class Words>
std::string one_of(const Words& words) {
  std::string out;
  for (std::size_t i = 0; i < words.size(); ++i)
    (out += i == 0 ? "" : i + 1 == words.size() ? " or " : ", ") += words[i];
  return out;
}

}  // namespace deckmark
