#pragma once
/// Which mark a `point` cell means: a name, a floor number or a deck number.

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <utility>
#include <vector>

#include "marks/marks.h"

namespace deckmark {

/// What a text means. Both may hold: then it has one meaning only if they are the same mark.
struct MarkMeaning {
  std::optional<std::uint32_t> by_name, by_number;
  bool is_deck_number = false;
  bool is_double() const { return by_name && by_number && *by_name != *by_number; }
  std::optional<std::uint32_t> mark() const { return by_name ? by_name : by_number; }
};

/// Finds marks by what people write. `numbers` are the floor numbers of all marks.
class MarkFinder {
 public:
  /// `deck_offset`: absent where no deck numbers are given. The marks, names and numbers must stay where they
  /// are.
  MarkFinder(const MarkTable& marks, const NameIndex& names, std::span<const std::uint32_t> numbers,
             std::optional<std::int64_t> deck_offset);
  MarkMeaning find(std::string_view text) const;

 private:
  std::optional<std::uint32_t> of_number(std::int64_t number) const;
  const MarkTable& marks_;
  const NameIndex& names_;
  std::optional<std::int64_t> deck_offset_;
  std::vector<std::pair<std::uint32_t, std::uint32_t>> by_number_;  // number, mark; in order
};

}  // namespace deckmark
