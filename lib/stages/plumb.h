#pragma once
/// Deck marks against floor marks.

#include <cstdint>
#include <optional>
#include <vector>

#include "job/stated.h"
#include "lift/lift.h"
#include "lift/turned.h"
#include "stages/laid_out.h"
#include "stages/staged.h"

namespace deckmark {

struct PlumbStated {
  const std::vector<StatedDeckMark>& marks;
  const ReadTable& table;
  const PlumbOptions& options;
  Length flatness = Length::metres(0);  ///< of the deck
  LengthUnit list_unit = LengthUnit::metre, site_unit = LengthUnit::metre;
  Where job;                                            ///< the job file
  const std::vector<SiblingStorey>* storeys = nullptr;  ///< whose marks are refused; null: none
};

/// Which mark each row means, by the order of the rows; nothing where that was told.
struct DeckMarksNamed {
  std::vector<std::optional<std::uint32_t>> marks;
};
/// Absent without deck marks. Problems: names that are none, or two, or stand twice, points without a deck
/// point; rows of one point whose turns are no full pairs. `numbers`: null where they are not known: then a
/// text that may be a number is not judged. `is_whole`: every row could be read; else the row that a turn
/// lacks may be one of the others.
[[nodiscard]] Staged<DeckMarksNamed> name_deck_marks(const PlumbStated& stated, const JobMarks& marks,
                                                     const Numbers* numbers, bool is_whole = true);

/// One row of each mark, in the order in which the table first names them.
struct Plumbed {
  std::vector<PlumbRow> rows;
  std::vector<std::uint32_t> marks;  ///< the mark of each
  /// Of each, its first row in the table; empty where the table has one row of each.
  std::vector<std::size_t> first_rows{};
  std::vector<std::optional<TurnsResult>> turns{};  ///< of each, where its laser was turned; or empty

  std::size_t table_row(std::size_t i) const { return first_rows.empty() ? i : first_rows[i]; }
  const TurnsResult* turns_of(std::size_t i) const {
    return i < turns.size() && turns[i] ? &*turns[i] : nullptr;
  }
};
/// Doubts: pairs that disagree, a lean that is hard to believe, elevations
/// far from the deck. REQUIRES marks that are all known, and turns in full pairs.
[[nodiscard]] Staged<Plumbed> check_plumb(const PlumbStated& stated, const DeckMarksNamed& named,
                                          const LaidOut& laid);

}  // namespace deckmark
