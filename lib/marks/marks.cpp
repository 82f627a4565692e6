#include "marks/marks.h"

#include <algorithm>

#include "measure/letters.h"
#include "measure/side_by_side.h"

namespace deckmark {

void OptionalLengths::append(std::size_t at, OptionalLengths&& other) {
  if (other.metres_.empty()) return;
  metres_.resize(at, kNone);
  metres_.insert(metres_.end(), other.metres_.begin(), other.metres_.end());
  other.metres_.clear();
}

bool Words::Less::operator()(std::string_view a, std::string_view b) const {
  if (word_case == WordCase::exact) return a < b;
  return std::ranges::lexicographical_compare(a, b, {}, small_letter, small_letter);
}

std::uint32_t Words::number_of(std::string_view word) {
  if (!texts_.empty() && *texts_[last_] == word) return last_;
  const auto [at, fresh] = index_.emplace(word, static_cast<std::uint32_t>(texts_.size()));
  if (fresh) texts_.push_back(&at->first);
  return last_ = at->second;
}

std::optional<std::uint32_t> Words::find(std::string_view word) const {
  const auto at = index_.find(word);
  if (at == index_.end()) return std::nullopt;
  return at->second;
}

void WordColumn::append(std::size_t at, WordColumn&& other) {
  if (other.rows_.empty()) return;
  std::vector<std::uint32_t> renumbered(other.words_.size());
  for (std::uint32_t w = 0; w < renumbered.size(); ++w) renumbered[w] = words_.number_of(other.words_[w]);
  rows_.resize(at, 0);
  rows_.reserve(at + other.rows_.size());
  for (const std::uint32_t w : other.rows_) rows_.push_back(renumbered[w]);
}

void MarkTable::reserve(std::size_t rows) {
  names.reserve(rows);
  places.reserve(rows);
  begins.reserve(rows);
}

void MarkTable::append(MarkTable&& other) {
  const std::size_t at = size();
  names.append(std::move(other.names));
  places.insert(places.end(), other.places.begin(), other.places.end());
  heights.append(at, std::move(other.heights));
  was.append(at, std::move(other.was));
  kinds.append(at, std::move(other.kinds));
  runs.append(at, std::move(other.runs));
  begins.insert(begins.end(), other.begins.begin(), other.begins.end());
  other = MarkTable{};
}

namespace {

constexpr std::size_t kNamesForThreads = 50000;
bool is_upper(std::uint64_t hash) { return (hash >> 63) != 0; }

}  // namespace

NameIndex::NameIndex(const TextColumn& names) : names_(&names) {
  const auto lower = [this] { fill(halves_[0], false); };
  const auto upper = [this] { fill(halves_[1], true); };
  if (names.size() >= kNamesForThreads) {
    side_by_side(lower, upper);
  } else {
    lower();
    upper();
  }
  for (Half& half : halves_)
    duplicates_.insert(duplicates_.end(), half.duplicates.begin(), half.duplicates.end());
  std::sort(duplicates_.begin(), duplicates_.end(),
            [](const auto& a, const auto& b) { return a.second < b.second; });
}

/// Each half takes the names whose hash has its top bit; hashes are made in small batches so that the slots
/// they touch can be fetched ahead.
void NameIndex::fill(Half& half, bool upper) const {
  std::size_t capacity = 16;
  while (capacity < names_->size()) capacity *= 2;  // half of the names: loaded to a quarter to a half
  half.slots.assign(capacity, {});
  const std::size_t mask = capacity - 1;
  constexpr std::size_t kBatch = 32;
  std::uint64_t hashes[kBatch];
  for (std::size_t from = 0; from < names_->size(); from += kBatch) {
    const std::size_t n = std::min(kBatch, names_->size() - from);
    for (std::size_t i = 0; i < n; ++i) {
      hashes[i] = name_hash((*names_)[from + i]);
      if (is_upper(hashes[i]) == upper) __builtin_prefetch(&half.slots[hashes[i] & mask], 1);
    }
    for (std::size_t i = 0; i < n; ++i) {
      if (is_upper(hashes[i]) != upper) continue;
      const auto tag = static_cast<std::uint32_t>(hashes[i] >> 24);
      const auto row = static_cast<std::uint32_t>(from + i);
      for (std::size_t s = hashes[i] & mask;; s = (s + 1) & mask) {
        Slot& slot = half.slots[s];
        if (slot.row_plus_one == 0) {
          slot = {row + 1, tag};
          break;
        }
        if (slot.tag == tag && same_name((*names_)[slot.row_plus_one - 1], (*names_)[row])) {
          half.duplicates.emplace_back(slot.row_plus_one - 1, row);
          break;
        }
      }
    }
  }
}

std::optional<std::uint32_t> NameIndex::find(std::string_view name) const {
  const std::uint64_t hash = name_hash(name);
  const Half& half = halves_[is_upper(hash) ? 1 : 0];
  const std::size_t mask = half.slots.size() - 1;
  const auto tag = static_cast<std::uint32_t>(hash >> 24);
  for (std::size_t s = hash & mask;; s = (s + 1) & mask) {
    const Slot& slot = half.slots[s];
    if (slot.row_plus_one == 0) return std::nullopt;
    if (slot.tag == tag && same_name((*names_)[slot.row_plus_one - 1], name)) return slot.row_plus_one - 1;
  }
}

}  // namespace deckmark
