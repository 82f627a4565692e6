#pragma once
/// Private to the room: which mark a cell means that names a point.

#include <cstdint>
#include <optional>
#include <string_view>
#include <unordered_map>

#include "measure/decimal.h"
#include "work/stages.h"

namespace deckmark {

/// Finds the mark that a `point` cell means: a name, a floor number or a deck number. REQUIRES issued
/// numbers.
class MarkFinder {
 public:
  MarkFinder(const Job& job, const Found& found) : job_(job) {
    for (std::uint32_t m = 0; m < job.marks.size(); ++m) {
      of_number_.emplace(found.issue.numbers[m], Numbered{m, false});
      if (found.deck && !job.marks.is_reference(m))
        of_number_.emplace(found.issue.numbers[m] + job.numbers.deck_offset, Numbered{m, true});
    }
  }
  struct Meaning {
    std::optional<std::uint32_t> by_name, by_number;
    bool is_deck = false;  ///< a deck number
  };
  Meaning find(std::string_view text) const {
    Meaning out;
    out.by_name = job_.mark_index->find(text);
    if (const auto n = read_count(text, kLeastNumber, kMostNumber); n && text.front() != '0')
      if (const auto at = of_number_.find(*n); at != of_number_.end()) {
        out.by_number = at->second.mark;
        out.is_deck = at->second.deck;
      }
    return out;
  }

 private:
  struct Numbered {
    std::uint32_t mark;
    bool deck;
  };
  const Job& job_;
  std::unordered_map<std::int64_t, Numbered> of_number_;
};

}  // namespace deckmark
