#pragma once
/// How good a fit is, for the page that is signed.

#include "adjust/statistics.h"
#include "baseline/fit.h"

namespace deckmark {

/// Smallest error of a stated coordinate that its test (alpha 0.001) finds in four cases of five: 4.132 times
/// the sd of the residual over the redundancy (Baarda 1968). Absent where nothing checks it.
std::optional<Length> detectable_error(const TieRow& row);

/// How well the others know the error of a stated coordinate, 95 %: that error is -residual over redundancy,
/// and has the sd of the residual over the redundancy. Absent where nothing checks it.
std::optional<Length> known_to(const TieRow& row);

struct Assurance {
  std::optional<VarianceTest> variance;  ///< two-sided 5 %; absent without degrees of freedom
  std::size_t unchecked = 0;             ///< stated coordinates with redundancy under 0.1
  std::optional<std::size_t>
      least_seen;                    ///< row with the largest detectable error among those that are checked
  std::optional<Length> detectable;  ///< that error: anything smaller may pass unseen
  ErrorEllipse origin;               ///< 95 % ellipse of the drawing's origin
  std::optional<std::size_t> farthest;      ///< mapped point farthest from the origin
  std::optional<ErrorEllipse> at_farthest;  ///< 95 % ellipse there
};
/// REQUIRES a solved fit.
[[nodiscard]] Assurance assurance(const BaselineResult& fit, std::span<const Point<Drawing>> mapped);

}  // namespace deckmark
