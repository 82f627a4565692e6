#pragma once
/// Deck marks against floor marks.

#include <cstdint>
#include <optional>
#include <vector>

#include "job/stated.h"
#include "lift/lift.h"
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
  const MeasuredDecks* measured = nullptr;              ///< by level or laser; null: none

  /// The row's own elevation, else that of the deck as level or laser measured it at its mark.
  std::optional<Elevation> elevation(std::size_t row, std::uint32_t mark) const;
};

/// Which mark each row means, by the order of the rows; nothing where that was told.
struct DeckMarksNamed {
  std::vector<std::optional<std::uint32_t>> marks;
};
/// Absent without deck marks. Problems: names that are none, or two, or stand twice, points without a deck
/// point. `numbers`: null where they are not known: then a text that may be a number is not judged.
[[nodiscard]] Staged<DeckMarksNamed> name_deck_marks(const PlumbStated& stated, const JobMarks& marks,
                                                     const Numbers* numbers);

struct Plumbed {
  std::vector<PlumbRow> rows;        ///< in the order of the deck marks
  std::vector<std::uint32_t> marks;  ///< the mark of each
};
/// REQUIRES marks that are all known.
[[nodiscard]] Staged<Plumbed> check_plumb(const PlumbStated& stated, const DeckMarksNamed& named,
                                          const LaidOut& laid);

}  // namespace deckmark
