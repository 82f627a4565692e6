#pragma once
/// What was measured or printed beside the ties: taped lengths, printed dimensions, squareness by lengths.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "baseline/corners.h"
#include "baseline/lengths.h"
#include "report/reason.h"
#include "stages/place.h"

namespace deckmark {

/// The lengths as sides between marks.
struct TapedNet {
  std::vector<Point<Drawing>> places;  ///< of the marks, as the lengths are held against them
  std::vector<std::string> names;
  std::vector<MeasuredSide> sides;  ///< in the order of the lengths
  /// The mark of that name; nothing where no length begins or ends at it.
  std::optional<std::size_t> find(std::string_view name) const;
};

/// Rows are in the order of the job's tables.
struct Checked {
  std::vector<LengthCheck> lengths;
  std::vector<DimensionCheck> dimensions;
  TapedNet net;
  LengthsTogether together;           ///< what the lengths say of one another
  std::string slip{};                 ///< one slip of the table that explains lengths far off; else empty
  std::optional<CornerCheck> corner;  ///< squareness by lengths alone, where there are no ties
  std::vector<std::string> corner_marks;
  std::optional<SquarenessResult> square;  ///< by lengths alone
  std::vector<Reason> outside;             ///< every length and dimension that is outside
};
/// Absent without a table of lengths or dimensions. `placed`: null where nothing places the drawing; with
/// ties that were refused the names are judged all the same, and the result is spoiled. Problems: unknown
/// marks. Doubts: lengths that contradict one another, or one slip that explains them;
/// alike rows. `knows_ties`: all rows of the ties could be read; else an unknown name
/// may be one of them.
[[nodiscard]] Staged<Checked> check_lengths(const BaselinesStated& stated, const JobMarks& marks,
                                            const Placed* placed, bool knows_ties = true);

/// The squareness that counts: by ties, else by lengths; null where neither gives one.
const SquarenessResult* squareness_of(const Placed* placed, const Checked* checked);

}  // namespace deckmark
