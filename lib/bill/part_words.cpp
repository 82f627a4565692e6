#include "bill/part_words.h"

#include <algorithm>

#include "measure/letters.h"

namespace deckmark {

std::optional<PartPer> part_per(std::string_view word) {
  const auto at = std::ranges::find(kPartPerWords, word);
  if (at == kPartPerWords.end()) return std::nullopt;
  return static_cast<PartPer>(at - kPartPerWords.begin());
}

bool is_part_word(std::string_view name) {
  const std::string word = small_letters(name);
  return part_per(word) || std::ranges::count(kCountedAlone, std::string_view(word)) > 0;
}

}  // namespace deckmark
