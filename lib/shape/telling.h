#pragma once
/// Private to the room: what is told of a candidate: which coordinate is off, what it should be, the slip.

#include <algorithm>
#include <cmath>
#include <optional>
#include <span>
#include <vector>

#include "shape/mends.h"
#include "shape/seen.h"

namespace deckmark::shape_detail {

/// Whether so many words of one kind are too many: then they are about how the drawing is made. Four may be
/// told whatever its size, else 8 in 100 of the points of runs (our figures).
bool too_many(std::size_t told, std::size_t points);

class Telling {
 public:
  Telling(const ShapeInput& in, const Figure& figure, double tolerance)
      : in_(in), figure_(figure), tolerance_(tolerance) {}

  ShapeBreak told(const Seen& s, const Candidate& c) const;
  /// Digits exchanged or a foot explain it to the millimetre: hardly a hanger that was moved on purpose.
  bool is_slip(const Seen& s, const Candidate& c) const;
  /// Heights apart from those of their run.
  std::vector<ShapeBreak> heights(std::span<const Seen> runs) const;

 private:
  void mend(ShapeBreak& b, Plan at, Plan expected) const;
  Plan one_axis(const Seen& s, const Candidate& c, Plan at) const;
  void look_at_heights(const Seen& s, std::vector<ShapeBreak>& out) const;
  /// A pattern without rounding in it says to the half millimetre what was meant.
  double mend_tolerance(double expected) const {
    const bool is_exact = std::abs(figure_.rounded(expected) - expected) <= 0.05 * figure_.metres();
    return is_exact ? 0.0005 : std::max(0.0015, 1.01 * figure_.metres());
  }
  std::optional<ShapeMend> mend_of_coordinate(double found, double expected) const {
    return mend_of(found, expected, in_.unit, mend_tolerance(expected), figure_);
  }

  const ShapeInput& in_;
  const Figure& figure_;
  double tolerance_;
};

}  // namespace deckmark::shape_detail
