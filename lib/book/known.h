#pragma once
/// Numbers as they are typed, by an issue: which there are, those of a list, and a list of them in words.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "book/entry.h"
#include "book/typing.h"
#include "issues/ledger.h"

namespace deckmark {

/// A number that was typed: the floor number, and whether that or its deck number was meant.
struct KnownNumber {
  std::uint32_t floor = 0;
  EntryLevel level = EntryLevel::floor;
  std::uint32_t row = 0;  ///< of the ledger, as the issue left it
  std::uint32_t typed = 0;

  friend bool operator==(const KnownNumber& a, const KnownNumber& b) {
    return a.floor == b.floor && a.level == b.level;
  }
};

/// The numbers of a ledger as one issue left them, dropped ones too. A view.
class KnownNumbers {
 public:
  KnownNumbers(const Ledger& ledger, std::uint32_t issue);

  const Ledger& ledger() const { return *ledger_; }
  std::uint32_t issue() const { return issue_; }
  LedgerRow row(const KnownNumber& number) const { return ledger_->row(number.row); }
  /// By what is typed: a floor number, or the deck number of a mark that has, or had, a deck point.
  std::optional<KnownNumber> find(std::uint32_t typed) const;
  std::optional<KnownNumber> find(std::uint32_t floor, EntryLevel level) const;
  /// A floor number, or the deck number to it.
  std::uint32_t typed(std::uint32_t floor, EntryLevel level) const;
  /// Every number that is meant, once, in the order typed. Refusals: a number that is none; ends of a range
  /// that do not ascend or are of two kinds; what is left out and was not in; nothing that is left.
  std::variant<std::vector<KnownNumber>, std::vector<Refusal>> of(const TypedList& list) const;
  /// `1041-1044 1047`: as it would be typed, floor numbers first.
  std::string words(std::vector<KnownNumber> numbers) const;

 private:
  std::vector<KnownNumber> between(const KnownNumber& first, const KnownNumber& last) const;
  std::optional<KnownNumber> at(std::size_t index, EntryLevel level) const;
  std::optional<std::vector<KnownNumber>> item(const TypedList::Item& item, std::vector<Refusal>& no) const;
  std::size_t index_of(std::uint32_t floor) const;

  const Ledger* ledger_;
  std::uint32_t issue_;
  std::int64_t offset_ = 0;  ///< what a deck number has more; 0: there are none
};

}  // namespace deckmark
