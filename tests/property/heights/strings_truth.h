#pragma once
/// Strings between marks of a floor, and what a mark is away from them; free adjustment of lengths by Gauss
/// and Newton with full normal equations.

#include <string>
#include <vector>

#include "support/small_matrix.h"

namespace deckmark_test {

struct Place {
  double x = 0, y = 0;
};

/// The shortest distance from a place to the line through two others, positive on the side that `towards`
/// points to.
double from_string(const Place& at, const Place& first, const Place& second, const Place& towards);

struct TapedLength {
  std::size_t from = 0, to = 0;
  double metres = 0, sd = 0.0015;
};

struct FreeMarks {
  bool solved = false;
  std::vector<Place> places;
  std::size_t redundancy = 0;
};
/// The marks nearest to where they are drawn that have these lengths, best: no shift and no turn of all in
/// all.
FreeMarks free_marks(const std::vector<Place>& drawn, const std::vector<TapedLength>& lengths);

}  // namespace deckmark_test
