#include "book/entry.h"

#include <algorithm>
#include <iterator>

namespace deckmark {

namespace {

constexpr std::string_view kActWords[kActs] = {"set-up",  "check",  "marked",     "drilled", "filled",
                                               "cut",     "hung",   "taken-down", "voided",  "doubtful",
                                               "cleared", "undone", "note"};

}  // namespace

std::string_view act_word(Act act) { return kActWords[static_cast<std::size_t>(act)]; }

std::optional<Act> act_of(std::string_view word) {
  const auto* const at = std::find(std::begin(kActWords), std::end(kActWords), word);
  if (at == std::end(kActWords)) return std::nullopt;
  return static_cast<Act>(at - std::begin(kActWords));
}

std::string_view level_word(EntryLevel level) {
  constexpr std::string_view kWords[] = {"", "floor", "deck"};
  return kWords[static_cast<std::size_t>(level)];
}

std::string_view source_word(EntrySource source) {
  constexpr std::string_view kWords[] = {"live", "file", "sheet"};
  return kWords[static_cast<std::size_t>(source)];
}

}  // namespace deckmark
