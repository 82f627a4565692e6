#pragma once
/// Private to the room: which slip of the pen made a wrong coordinate of the expected one.

#include <optional>
#include <span>

#include "shape/shape.h"

namespace deckmark::shape_detail {

/// The figure to which a drawing's coordinates are rounded: the coarsest that most of them are whole counts
/// of.
class Figure {
 public:
  /// Of a sample of the places; `unit` as the drawing is keyed.
  Figure(std::span<const Point<Drawing>> places, LengthUnit unit);
  double metres() const { return figure_; }
  /// To the coarsest figure that the value is near to, at the least to the millimetre or 1/16 inch.
  double rounded(double metres) const;

 private:
  std::span<const double> figures_;  // metres, coarsest first
  double figure_;
};

/// What turns `expected` (to within `tolerance`) into `found`, where a slip of the pen does: two neighbouring
/// digits exchanged (feet and inches too), a foot, an inch, one digit, in this order.
std::optional<ShapeMend> mend_of(double found, double expected, LengthUnit unit, double tolerance,
                                 const Figure& figure);

}  // namespace deckmark::shape_detail
