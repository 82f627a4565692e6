#pragma once
/// Numbers of marks: those that the ledger holds, and new ones above all that were ever given.

#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

#include "issues/ledger.h"

namespace deckmark {

struct NumberOptions {
  std::int64_t start = 1001;
  std::int64_t step = 1;
  std::int64_t deck_offset = 5000;
  std::optional<std::int64_t> last = std::nullopt;  ///< no floor number is above it
};

/// Why no numbers can be issued.
enum class IssueStatus : std::uint8_t {
  issued,
  offset_changed,  ///< the offset under which deck numbers were given is another
  numbers_meet,    ///< a deck number equals a floor number or a number of the ledger
  out_of_numbers,  ///< beyond 999999999
  beyond_last      ///< marks whose floor number would be above the last that the options allow
};

/// What is wrong with a mark that says under which name it stood before.
struct FormerName {
  enum class Fault : std::uint8_t {
    unknown,  ///< no number ever had that name
    taken     ///< another mark has that number, by its name or by what it says
  };
  Fault fault;
  std::uint32_t mark;
  std::uint32_t other = kNone32;  ///< taken: the mark that has it
};

/// Numbers of the ledger brought together with marks.
struct LedgerJoin {
  BigVector<std::uint32_t> entries;      ///< the last ledger row of every mark's number, or none
  std::vector<std::uint32_t> unmatched;  ///< last rows of numbers that no mark has now
  std::vector<FormerName> former;        ///< marks whose former name cannot be followed
  std::vector<std::pair<std::uint32_t, std::uint32_t>> same_names;  ///< rows of one issue that name one point
};
/// By name, without regard to the case of A-Z; a mark that states a former name has the number of that,
/// unless its own number had that name once already.
LedgerJoin join_ledger(const MarkTable& marks, const NameIndex& mark_index, const Ledger& ledger);

struct IssueResult {
  IssueStatus status = IssueStatus::issued;
  BigVector<std::uint32_t> numbers;  ///< floor number of every mark
  std::uint32_t met_number = 0;      ///< numbers_meet: the deck number that is taken
  std::uint32_t met_floor = 0;       ///< numbers_meet: the floor number whose deck number that would be
  std::int64_t smallest_offset = 0;  ///< numbers_meet: the smallest deck offset that works
  /// numbers_meet: the default, or a round one, that leaves room for more points
  std::int64_t roomy_offset = 0;
  /// beyond_last: marks above it; the highest floor number.
  std::int64_t beyond_last = 0, highest = 0;
  /// Under which deck numbers were given already, so that it may not change.
  std::optional<std::int64_t> bound_offset;
};

/// Assigns numbers to all marks. `has_deck`: deck numbers are given; then they must not meet any number.
IssueResult issue_numbers(const MarkTable& marks, const Ledger& ledger, const LedgerJoin& join,
                          const NumberOptions& options, bool has_deck);

/// The offset under which the ledger's deck numbers were given; none where none was given. Rows of an earlier
/// version of the program do not tell: theirs counts where its numbers do not meet.
std::optional<std::int64_t> bound_offset(const Ledger& ledger);

}  // namespace deckmark
