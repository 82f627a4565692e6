#include "marks/mark_finder.h"

#include <algorithm>

#include "measure/decimal.h"

namespace deckmark {

MarkFinder::MarkFinder(const MarkTable& marks, const NameIndex& names, std::span<const std::uint32_t> numbers,
                       std::optional<std::int64_t> deck_offset)
    : marks_(marks), names_(names), deck_offset_(deck_offset) {
  by_number_.reserve(numbers.size());
  for (std::uint32_t m = 0; m < numbers.size(); ++m) by_number_.emplace_back(numbers[m], m);
  if (!std::is_sorted(by_number_.begin(), by_number_.end())) std::sort(by_number_.begin(), by_number_.end());
}

std::optional<std::uint32_t> MarkFinder::of_number(std::int64_t number) const {
  if (number < kLeastNumber || number > kMostNumber) return std::nullopt;
  const auto wanted = static_cast<std::uint32_t>(number);
  const auto at = std::lower_bound(by_number_.begin(), by_number_.end(), std::pair{wanted, std::uint32_t{0}});
  if (at == by_number_.end() || at->first != wanted) return std::nullopt;
  return at->second;
}

MarkMeaning MarkFinder::find(std::string_view text) const {
  MarkMeaning out;
  out.by_name = names_.find(text);
  if (text.empty() || text.front() < '1' || text.front() > '9') return out;
  const auto n = read_count(text, kLeastNumber, kMostNumber);
  if (!n) return out;
  out.by_number = of_number(*n);
  if (out.by_number || !deck_offset_) return out;
  const auto deck = of_number(*n - *deck_offset_);
  if (!deck || marks_.is_reference(*deck)) return out;
  out.by_number = deck;
  out.is_deck_number = true;
  return out;
}

}  // namespace deckmark
