#pragma once
/// Laying out from two strings that cross over a mark: the tape is held square to each.

#include <cstdint>

#include "baseline/offset_form.h"
#include "measure/frame.h"
#include "transform/transform.h"

namespace deckmark {

/// How far a mark lies from the two strings, each square to its own string: also where these are not square
/// to each other.
struct StringDistances {
  Length from_x_string;  ///< from first-third, positive towards growing X
  Length from_y_string;  ///< from first-second, positive towards growing Y
};

/// Where the distance between two marks of the strings comes from.
enum class SpanFrom : std::uint8_t {
  found,          ///< taped, or between marks that were measured
  other_lengths,  ///< by the other lengths
  nothing         ///< nobody measured it, or lengths contradict it
};

/// The string first-second runs about along X, first-third about along Y.
class StringLines {
 public:
  /// Less than this and a tape's error grows by half and more where the two meet (common practice, no
  /// source).
  static constexpr Angle kLeastCrossing = Angle::degrees(45);

  /// REQUIRES marks apart from each other, not on one line.
  StringLines(const Point<Site>& first, const Point<Site>& second, const Point<Site>& third,
              const Transform<Site, Drawing>& site_from_drawing);

  StringDistances of(const Point<Site>& place) const;
  /// The acute angle at which the strings cross.
  Angle crossing() const;
  /// The acute angles of the string first-second to X and of first-third to Y.
  Angle off_x() const;
  Angle off_y() const;
  /// The string first-second runs along Y rather than X, and first-third along X rather than Y.
  bool are_exchanged() const;
  /// The second mark lies from the string first-third towards growing X, likewise the third towards growing
  /// Y.
  bool is_second_to_x() const;
  bool is_third_to_y() const;

 private:
  struct Line {
    double northing = 0, easting = 0;  // unit vector square to it, towards the growing axis
  };
  Line square_to(const Point<Site>& end, const Vec<Site>& axis) const;
  Length from(const Line& line, const Point<Site>& place) const;

  Point<Site> first_, second_, third_;
  Vec<Site> x_, y_;  // 1 m along the axes of the drawing
  Line to_x_, to_y_;
};

}  // namespace deckmark
