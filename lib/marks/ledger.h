#pragma once
/// Numbers for the life of a job. A number is assigned once, kept with the place and revision it was issued
/// for, and never reused; what changed since the last issue is told.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "marks/marks.h"

namespace deckmark {

inline constexpr std::int64_t kLeastNumber = 1, kMostNumber = 999999999;
/// A point that moved by more than this is told as moved.
inline constexpr Length kMoveTold = Length::millimetres(1);

struct NumberOptions {
  std::int64_t start = 1001;
  std::int64_t step = 1;
  std::int64_t deck_offset = 5000;
  std::optional<std::int64_t> last = std::nullopt;  ///< no floor number is above it
};

/// What the last issue left: one row a number.
struct LedgerTable {
  TextColumn names;
  BigVector<std::uint32_t> numbers;
  BigVector<std::uint8_t> live;      ///< 1 live, 0 dropped
  BigVector<Point<Drawing>> places;  ///< for which the number was last listed
  BigVector<Point<Site>> site_places;
  WordColumn revisions;
  BigVector<std::uint32_t> begins;  ///< offsets of the rows in the ledger file
  std::optional<std::int64_t> deck_offset;
  struct OffsetUse {
    std::int64_t offset;
    std::uint32_t begin;  ///< of the first row that has it
    std::size_t rows;
  };
  std::vector<OffsetUse>
      offsets;  ///< that rows state, in the order of their first rows; one, but where a hand was at it

  std::size_t size() const { return numbers.size(); }
  void reserve(std::size_t rows);
  void append(LedgerTable&& other);
  /// Takes what one row, or several, state.
  void take_offset(const OffsetUse& use);
};

enum class Change : std::uint8_t { fresh, moved, dropped, returned, renamed, refit };
/// `new`, `moved`, `dropped`, `returned`, `renamed`, `refit`.
std::string_view change_word(Change c);

inline constexpr std::uint32_t kNone32 = 0xFFFFFFFF;

/// One number's change since the last issue.
struct ChangeRow {
  std::uint32_t number = 0;
  Change change = Change::fresh;
  std::uint32_t mark = kNone32;  ///< row of the mark table; none for dropped
  std::uint32_t entry =
      kNone32;  ///< row of the old ledger; for renamed the entry that was replaced; none for new
  std::optional<Vec<Drawing>> moved;  ///< for moved
  std::optional<Vec<Site>> refit;     ///< for refit, on site
};

/// Why no numbers can be issued.
enum class IssueStatus : std::uint8_t {
  issued,
  offset_changed,  ///< the ledger's deck offset is another
  numbers_meet,    ///< a deck number equals a floor number or a number of the ledger
  out_of_numbers,  ///< beyond 999999999
  beyond_last      ///< marks whose floor number would be above the last that the options allow
};

/// Ledger rows brought together with marks of the same name.
struct LedgerJoin {
  BigVector<std::uint32_t> entries;                                 ///< ledger row of every mark, or none
  std::vector<std::uint32_t> unmatched;                             ///< ledger rows that no mark has now
  std::vector<std::pair<std::uint32_t, std::uint32_t>> same_names;  ///< ledger rows that name one point twice
  std::vector<std::pair<std::uint32_t, std::uint32_t>>
      same_numbers;  ///< ledger rows that hold one number twice
};
LedgerJoin join_ledger(const MarkTable& marks, const NameIndex& mark_index, const LedgerTable& ledger);

struct IssueResult {
  IssueStatus status = IssueStatus::issued;
  BigVector<std::uint32_t> numbers;  ///< floor number of every mark
  std::vector<ChangeRow> changes;    ///< in the order of numbers
  std::uint32_t met_number = 0;      ///< numbers_meet: the deck number that is taken
  std::uint32_t met_floor = 0;       ///< numbers_meet: the floor number whose deck number that would be
  std::int64_t smallest_offset = 0;  ///< numbers_meet: the smallest deck offset that works
  std::int64_t roomy_offset =
      0;  ///< numbers_meet: the default, or a round one, that leaves room for more points
  std::int64_t beyond_last = 0,
               highest = 0;   ///< beyond_last: marks above it; the floor number of the last of them
  bool offset_bound = false;  ///< numbers_meet: deck numbers were issued under this offset, it may not change
};

/// Assigns numbers to all marks.
///
/// REQUIRES unique names and numbers in both tables. `has_deck`: deck numbers are given (then they must not
/// meet any number). A ledger offset under which deck numbers could not have been issued does not bind.
IssueResult issue_numbers(const MarkTable& marks, std::span<const Point<Site>> site,
                          const LedgerTable& ledger, const LedgerJoin& join, const NumberOptions& options,
                          bool has_deck);

}  // namespace deckmark
