#pragma once
/// Numbers of all marks, joined with those that were issued before.

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "job/storeys_job.h"
#include "marks/ledger.h"
#include "stages/job_marks.h"
#include "stages/staged.h"
#include "transform/transform.h"

namespace deckmark {

struct NumbersStated {
  const LedgerTable& ledger;
  std::shared_ptr<const Table> ledger_table;  ///< null without a ledger
  const NumberOptions& options;
  const std::string& ledger_file;                       ///< as messages name it
  bool has_deck = false;                                ///< deck numbers are given
  Where deck_offset;                                    ///< the key
  Where start{}, last{};                                ///< likewise
  const std::vector<SiblingStorey>* storeys = nullptr;  ///< whose numbers are theirs; null: none
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
/// Problems: a ledger that names a point or a number twice, deck numbers that meet others, an offset that
/// changed; then there is no result. `site`: places of the marks; empty where nothing places them: then the
/// result is spoiled, but its numbers are known (its changes are not).
[[nodiscard]] Staged<Numbers> number_marks(const NumbersStated& stated, const JobMarks& marks,
                                           std::span<const Point<Site>> site);

/// Names and numbers that stand twice in a ledger of which another row is spoiled, so that no numbers are
/// given.
[[nodiscard]] Messages look_over_ledger(const NumbersStated& stated, const JobMarks& marks);

/// A change's place in the drawing's axes; absent where it is not a move.
std::optional<Vec<Drawing>> change_by(const ChangeRow& change, const FittedTransform& fit);

}  // namespace deckmark
