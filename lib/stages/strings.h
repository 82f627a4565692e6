#pragma once
/// The two strings that the crew with laser and tape stretches, and the corner marks that they hang on.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "baseline/strings.h"
#include "report/moves_text.h"
#include "stages/found_marks.h"

namespace deckmark {

struct StringsFound {
  std::vector<FromMark> marks;  ///< where the strings cross, the end of the one along X, of the one along Y
  StringLines lines;
  /// Nothing else places the drawing: no ties, no control, no setups.
  bool alone = false;
  /// Of strings alone: why no lengths check them, and what to tape; empty where they do.
  std::string not_checked{};
  /// Of strings alone, in the order of their numbers: marks that stand on the floor before anything is
  /// marked: those of the strings, and reference points that are taped together with them.
  std::vector<std::uint32_t> stand{};
  /// Where the distances come from: first to second, first to third, second to third.
  std::array<SpanFrom, 3> spans{};
};

/// Whether a job is laid out from strings alone, whatever else is wrong with it: then no list is for an
/// instrument.
inline bool from_strings_alone(const OffsetJob& offsets, SitePlace by) {
  return static_cast<bool>(offsets.strings) && by == SitePlace::as_drawn;
}

/// Where the lengths alone have the marks of the strings; nothing where they do not hang together.
std::optional<LengthFigure> figure_of_strings(const std::vector<std::string>& names, const Checked* checked);

/// The strings of the key. Problems: unknown marks, one twice, marks on one line, strings that cross flat or
/// that are exchanged. Doubts: strings that run off the drawing's axes. REQUIRES three names.
std::optional<StringsFound> find_strings(const Stated<std::vector<std::string>>& stated, const FoundBy& by,
                                         const Checked* checked, Messages& told);

/// Corner marks to move.
struct CornersFound {
  std::vector<NamedMove> moves;
  bool any_outside = false;  ///< a length, the squareness or a tie is outside
  std::string instead{};     ///< what to do first, where no move can be advised though something is off
};
/// By the lengths that hold the marks of the strings, as far as others check them; where there are none, by
/// these marks as the ties found them. Nothing is moved by more than `kMostMove`.
CornersFound find_corner_moves(const StringsFound& strings, const FoundBy& by, const Checked* checked);

}  // namespace deckmark
