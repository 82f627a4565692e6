#include "book/known.h"

#include <algorithm>

#include "issues/numbering.h"

namespace deckmark {

KnownNumbers::KnownNumbers(const Ledger& ledger, std::uint32_t issue)
    : ledger_(&ledger), issue_(issue), offset_(bound_offset(ledger).value_or(0)) {}

std::size_t KnownNumbers::index_of(std::uint32_t floor) const {
  std::size_t low = 0, high = ledger_->numbers();
  while (low < high) {
    const std::size_t middle = (low + high) / 2;
    if (ledger_->columns().number(ledger_->latest(middle)) < floor)
      low = middle + 1;
    else
      high = middle;
  }
  return low;
}

std::optional<KnownNumber> KnownNumbers::at(std::size_t index, EntryLevel level) const {
  const std::uint32_t row = ledger_->as_of(ledger_->latest(index), issue_);
  if (row == kNone32) return std::nullopt;
  KnownNumber out{ledger_->columns().number(row), level, row, 0};
  out.typed = typed(out.floor, level);
  if (level == EntryLevel::floor) return out;
  for (std::uint32_t r = row; r != kNone32; r = ledger_->before(r))
    if (ledger_->columns().has_deck(r)) return out;
  return std::nullopt;
}

std::optional<KnownNumber> KnownNumbers::find(std::uint32_t floor, EntryLevel level) const {
  const std::size_t i = index_of(floor);
  if (i >= ledger_->numbers() || ledger_->columns().number(ledger_->latest(i)) != floor) return std::nullopt;
  return at(i, level);
}

std::optional<KnownNumber> KnownNumbers::find(std::uint32_t typed) const {
  if (auto floor = find(typed, EntryLevel::floor)) return floor;
  if (offset_ == 0 || std::int64_t{typed} <= offset_) return std::nullopt;
  return find(static_cast<std::uint32_t>(typed - offset_), EntryLevel::deck);
}

std::uint32_t KnownNumbers::typed(std::uint32_t floor, EntryLevel level) const {
  return level == EntryLevel::deck ? static_cast<std::uint32_t>(floor + offset_) : floor;
}

std::vector<KnownNumber> KnownNumbers::between(const KnownNumber& first, const KnownNumber& last) const {
  std::vector<KnownNumber> out;
  for (std::size_t i = index_of(first.floor); i < ledger_->numbers(); ++i) {
    if (ledger_->columns().number(ledger_->latest(i)) > last.floor) break;
    if (const auto number = at(i, first.level)) out.push_back(*number);
  }
  return out;
}

std::optional<std::vector<KnownNumber>> KnownNumbers::item(const TypedList::Item& item,
                                                           std::vector<Refusal>& no) const {
  const auto first = find(item.first), last = find(item.last);
  for (const auto& [number, text] : {std::pair(first, item.first), std::pair(last, item.last)}) {
    if (number || (!item.is_range && &text == &item.last)) continue;
    const std::string why = std::to_string(text) + " is no number of issue " + std::to_string(issue_);
    if (no.empty() || no.back().why != why) no.push_back({NoWord::number, why});
  }
  if (!first || !last) return std::nullopt;
  if (!item.is_range) return std::vector{*first};
  const std::string range = std::to_string(item.first) + "-" + std::to_string(item.last);
  if (first->level != last->level)
    no.push_back({NoWord::list, range + ": one end is a floor number, the other a deck number"});
  else if (first->floor >= last->floor)
    no.push_back({NoWord::list, range + ": a range goes up, as in 1041-1052"});
  else
    return between(*first, *last);
  return std::nullopt;
}

std::variant<std::vector<KnownNumber>, std::vector<Refusal>> KnownNumbers::of(const TypedList& list) const {
  std::vector<Refusal> no;
  std::vector<KnownNumber> out;
  const auto is_in = [](const std::vector<std::uint64_t>& sorted, const KnownNumber& n) {
    return std::binary_search(sorted.begin(), sorted.end(), n.typed);
  };
  std::vector<std::uint64_t> taken, left;
  for (const TypedList::Item& i : list.take)
    if (const auto numbers = item(i, no))
      for (const KnownNumber& n : *numbers) out.push_back(n);
  // The first of what is typed twice stays.
  std::vector<std::size_t> order(out.size());
  for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return out[a].typed < out[b].typed; });
  std::vector<bool> again(out.size(), false);
  for (std::size_t i = 0; i < order.size(); ++i) {
    again[order[i]] = i > 0 && out[order[i]].typed == out[order[i - 1]].typed;
    taken.push_back(out[order[i]].typed);
  }
  for (const TypedList::Item& i : list.leave) {
    const auto numbers = item(i, no);
    if (!numbers) continue;
    for (const KnownNumber& n : *numbers) {
      left.push_back(n.typed);
      if (no.empty() && !is_in(taken, n))
        no.push_back({NoWord::list, "but " + std::to_string(n.typed) + ": it is not in what stands before"});
    }
  }
  if (!no.empty()) return no;
  std::sort(left.begin(), left.end());
  std::vector<KnownNumber> kept;
  for (std::size_t i = 0; i < out.size(); ++i)
    if (!again[i] && !is_in(left, out[i])) kept.push_back(out[i]);
  if (kept.empty()) return std::vector{Refusal{NoWord::list, "nothing is left"}};
  return kept;
}

std::string KnownNumbers::words(std::vector<KnownNumber> numbers) const {
  std::sort(numbers.begin(), numbers.end(), [](const KnownNumber& a, const KnownNumber& b) {
    return a.level != b.level ? a.level < b.level : a.floor < b.floor;
  });
  std::string out;
  for (std::size_t i = 0; i < numbers.size();) {
    // A range goes on while no known number of the kind lies between.
    std::size_t last = i;
    for (std::size_t at_index = index_of(numbers[i].floor) + 1; last + 1 < numbers.size(); ++at_index) {
      if (at_index >= ledger_->numbers() || numbers[last + 1].level != numbers[i].level) break;
      const auto next = at(at_index, numbers[i].level);
      if (!next) continue;
      if (!(*next == numbers[last + 1])) break;
      ++last;
    }
    if (!out.empty()) out += ' ';
    out += std::to_string(numbers[i].typed);
    if (last > i) out += "-" + std::to_string(numbers[last].typed);
    i = last + 1;
  }
  return out;
}

}  // namespace deckmark
