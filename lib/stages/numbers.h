#pragma once
/// Numbers of all marks, joined with those that were issued before.

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "issues/numbering.h"
#include "job/storeys_job.h"
#include "marks/mark_finder.h"
#include "stages/job_marks.h"
#include "stages/staged.h"

namespace deckmark {

struct NumbersStated {
  const Ledger& ledger;
  std::shared_ptr<const Table> ledger_table;  ///< null without a ledger
  const NumberOptions& options;
  const std::string& ledger_file;                       ///< as messages name it
  bool has_deck = false;                                ///< deck numbers are given
  Where deck_offset;                                    ///< the key
  Where start{}, last{};                                ///< likewise
  const std::vector<SiblingStorey>* storeys = nullptr;  ///< whose numbers are theirs; null: none
  /// What to type where numbers cannot be gone on with, so that new ones begin above that.
  std::function<std::string(std::int64_t above)> begin_anew{};
};

struct Numbers {
  LedgerJoin join;
  IssueResult issue;
  std::optional<std::int64_t> deck_offset;  ///< absent where no deck numbers are given

  std::uint32_t of(std::size_t mark) const { return issue.numbers[mark]; }
  /// The deck number where deck numbers are given, else the floor number.
  std::uint32_t on_deck(std::size_t mark) const {
    return issue.numbers[mark] + static_cast<std::uint32_t>(deck_offset.value_or(0));
  }
  std::uint32_t at(std::size_t mark, bool deck) const { return deck ? on_deck(mark) : of(mark); }
};
/// Finds marks by their names and numbers. REQUIRES marks with an index; both must stay where they are.
[[nodiscard]] inline MarkFinder finder_of(const JobMarks& marks, const Numbers& numbers) {
  return {*marks, *marks.index, numbers.issue.numbers, numbers.deck_offset};
}

/// Of a text that is the name of one point and the number of another.
[[nodiscard]] Fault two_meanings(std::string_view text, const MarkMeaning& meaning, const JobMarks& marks,
                                 const Numbers& numbers);
/// Of a deck number that a row calls by another level, in that level's word.
[[nodiscard]] Fault no_such_level(std::string_view level, std::string_view text, std::uint32_t floor_number);
/// Of a reference point that a row calls by another level than floor.
[[nodiscard]] Fault not_carried_up(std::string_view level, std::string_view point);

/// Problems: a ledger that names a point or a number twice, deck numbers that meet others, an offset that
/// changed; then there is no result. Doubts: a former name that no number ever had.
[[nodiscard]] Staged<Numbers> number_marks(const NumbersStated& stated, const JobMarks& marks);

/// Names and numbers that stand twice in a ledger of which another row is spoiled, so that no numbers are
/// given.
[[nodiscard]] Messages look_over_ledger(const NumbersStated& stated, const JobMarks& marks);

}  // namespace deckmark
