#pragma once
/// Lengths between marks held against one another: one more than needed is a check.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "baseline/lengths.h"
#include "measure/frame.h"

namespace deckmark {

/// A measured distance between two marks, horizontal and on site.
struct MeasuredSide {
  std::size_t from = 0, to = 0;  ///< into the places
  SdLength length;
};

/// A length that may be the wrong one.
struct LengthSuspect {
  std::size_t side = 0;
  Length error;  ///< as measured minus what the others give, estimated
};

/// One length that the others contradict, or several of which one is wrong.
struct WrongLength {
  /// The one to measure again first in front: of those that cannot be told apart the one that, put right,
  /// brings the lengths nearest to the drawing.
  std::vector<LengthSuspect> suspects;
};

/// What lengths say of one another.
struct LengthsTogether {
  static constexpr std::size_t kMostMarks = 120;  ///< of a network; beyond, an adjustment takes seconds
  std::vector<std::size_t> network;  ///< of each side: sides of one network hang together through their marks
  std::vector<double> redundancy;    ///< of each side, 0 unchecked to 1
  std::vector<Length> residuals;     ///< of each side, measured minus adjusted, before any is set aside
  std::vector<bool> contradicts;     ///< by network: its lengths cannot all be right
  std::vector<std::size_t> spare;    ///< by network: lengths more than needed
  std::vector<double> square_sum;    ///< by network: of residuals over their sds
  std::vector<WrongLength> wrong;    ///< named; a network may contradict itself without a name
  bool all_tested = true;            ///< false: a network of more than `kMostMarks` marks was left alone
  bool agree(std::size_t side) const { return !contradicts[network[side]]; }
};

/// Of each side the first one that is the same to the last digit: between the same two marks, the length and
/// its sd alike; itself where there is none before it. A row that was pasted twice and a second taping that
/// reads alike look the same, so that such a one checks nothing.
[[nodiscard]] std::vector<std::size_t> first_alike(std::span<const MeasuredSide> sides);

/// Free adjustment of every network of lengths: no mark is held.
///
/// Method    unknown are the marks, from where the drawing has them; what the lengths leave open (place and
///           turn of the whole, marks that swing or that lie on the line of their neighbours) stays as drawn,
///           which changes no residual. A network contradicts itself where a standardised residual exceeds
///           the larger of 3.29 and the two-sided normal quantile of 0.99^(1/m), m checked lengths, or the
///           square sum the chi-square quantile of 0.999. Wrong ones are named one at a time
///           (`adjust/solve.h`).
/// Result    with one length to spare all residuals are alike large: all are suspects. A side that is alike
/// to
///           one before it counts once, with the figures of that one.
[[nodiscard]] LengthsTogether hold_together(std::span<const MeasuredSide> sides,
                                            std::span<const Point<Drawing>> places);

}  // namespace deckmark
