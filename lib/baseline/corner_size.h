#pragma once
/// How large a corner has to be taped, of those that fit on the floor.

#include <cstdint>
#include <optional>

#include "measure/length.h"

namespace deckmark {

/// Legs of a right angle along X and Y, or how far the floor reaches.
struct Legs {
  Length x, y;
};

enum class CornerFigure : std::uint8_t {
  triangle,  ///< two legs and their diagonal
  rectangle  ///< four sides and both diagonals
};

struct LargerCorner {
  CornerFigure figure = CornerFigure::triangle;
  Legs legs;         ///< the least that is large enough; where none is, the floor's own
  bool fits = true;  ///< large enough on this floor
  double finer = 1;  ///< its sd is the present one over this
};

/// The corner to tape in place of one that is too small: a larger one of the same figure, else a rectangle,
/// as far as the floor reaches.
///
/// Method   of a right angle sd^2 = 2 s^2 (1/a^2 + 1/b^2) for a triangle whose three lengths have the sd s;
///          half of that for a rectangle with all six lengths adjusted (its one condition takes c^2/(ab)^2 of
///          2 c^2/(ab)^2). The legs grow alike until one meets the floor, then the other alone.
/// REQUIRES  legs above zero, `times` above 1: how many times smaller the sd has to be.
[[nodiscard]] LargerCorner larger_corner(CornerFigure present, const Legs& legs, double times,
                                         const Legs& floor);

}  // namespace deckmark
