#pragma once
/// Laying out with laser and tape: running distances along runs, and swing ties from two marks.

#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "baseline/offset_form.h"
#include "measure/frame.h"

namespace deckmark {

/// What the sheet for laser and tape is to look like.
struct OffsetOptions {
  OffsetForm form;
};

enum class Side : std::uint8_t { left, right, on_line };
/// `left`, `right`, `on line`.
std::string_view side_word(Side side);

/// Two arcs that meet in a point, swung from two marks on the floor.
struct SwingTie {
  Length first, second;       ///< distances on site from the first and from the second mark
  Side side = Side::on_line;  ///< of the line from the first mark to the second, standing on the first and
                              ///< facing the second
  Angle crossing;             ///< at which the arcs cross, 0 to 90 degrees
  bool weak = false;  ///< under 30 degrees: a small error of a tape moves the point far (common practice)
};
/// REQUIRES two marks apart from each other.
SwingTie swing_tie(const Point<Site>& first, const Point<Site>& second, const Point<Site>& point);

/// Distance of every point along its run, from the run's first point through all before it, in the drawing;
/// empty for points without a run (run 0). To be rounded once each: rounded spaces would add up.
std::vector<std::optional<Length>> running_distances(std::span<const Point<Drawing>> points,
                                                     std::span<const std::uint32_t> runs);

}  // namespace deckmark
