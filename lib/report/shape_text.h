#pragma once
/// What breaks the drawing's own regularity, in words. Values in, text out.

#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "shape/shape.h"

namespace deckmark {

/// A break with the names behind its indices.
struct ShapeLineTold {
  const ShapeBreak& found;
  std::string_view point;  ///< of a whole run its first point; empty: a run of the runs table
  std::string_view run;
  Point<Drawing> at;             ///< where it is keyed
  std::optional<Length> height;  ///< as keyed, of a height
  std::string_view fits_run{};   ///< the run whose gap it fills where it stands
};

/// A coordinate as the drawing is keyed: `12.840 m`, `12840 mm`, `42'-1 1/2"`.
std::string keyed_words(Length value, LengthUnit unit);
/// `spacing: x 12.480 m, digits exchanged: 12.840 m`; without a mend that explains it the pattern alone.
std::string shape_why(const ShapeLineTold& line, LengthUnit unit);
/// `H07: x 12.480 m breaks the even spacing of R3 by 0.360 m; digits exchanged? 12.840 m would fit: look at
/// the drawing`.
std::string shape_doubt(const ShapeLineTold& line, LengthUnit unit);
/// `end bays of R1 differ, 0.650 m and 0.350 m: look at R1-01 and R1-08 in the drawing`.
std::string unsure_doubt(const ShapeUnsure& unsure, std::string_view run, std::string_view first,
                         std::string_view last, LengthUnit unit);
/// All of them for a terminal of 80 columns; empty where there are none.
std::string shape_text(std::span<const ShapeLineTold> lines, LengthUnit unit);

}  // namespace deckmark
