#pragma once
/// The other storeys of the building: their numbers are theirs, and what was measured on them is none of
/// this one's.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "job/storeys_job.h"
#include "measure/fault.h"
#include "stages/laid_out.h"

namespace deckmark {

/// Problems: a number of this job, on floor or deck, live or dropped, that another storey's ledger holds; one
/// for each storey, with a start (or a deck_offset; where what was given out stands in the way, a ledger
/// begun anew) that works.
[[nodiscard]] Messages refuse_shared_numbers(const NumbersStated& stated, const JobMarks& marks,
                                             const Numbers& numbers);

/// `, a number of level 4`, where a text that means no point here is a number of another storey; else empty.
std::string whose_number(const std::vector<SiblingStorey>* storeys, std::string_view text);

/// Floors and decks of this storey and of the others.
class StoreyHeights {
 public:
  StoreyHeights(const std::vector<SiblingStorey>& storeys, const LaidOut& laid, LengthUnit site_unit);
  /// Why something measured at that height is another storey's: it lies near one of its heights, and near
  /// none of this one's. `also`: one more of this storey's, such as a bracket's. `what`: `a shot`.
  std::optional<Fault> refused(std::string_view what, Elevation at,
                               std::optional<Elevation> also = std::nullopt) const;

 private:
  const std::vector<SiblingStorey>& storeys_;
  std::vector<Elevation> own_;  // rising; empty where there are no others
  LengthUnit site_unit_;
};

}  // namespace deckmark
