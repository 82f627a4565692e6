#pragma once
/// Deck marks made with the housing of a plumb laser turned: half a turn on, what the beam leans by lies on
/// the other side, so that the mean of a pair is the place straight up.

#include <cstddef>
#include <optional>
#include <span>

#include "measure/frame.h"
#include "measure/length.h"

namespace deckmark {

/// A mark made at one turn of the housing.
struct MarkAtTurn {
  std::size_t quarter = 0;  ///< quarter turns, 0 to 3; 0 pairs with 2, 1 with 3
  Vec<Site> off;            ///< from a place that all marks of the point share
  Length sd;                ///< per axis, of this mark
};

/// The quarter that cancels the lean of this one.
constexpr std::size_t opposite_quarter(std::size_t quarter) { return (quarter + 2) % 4; }

struct TurnsResult {
  Vec<Site> mean;               ///< of the pairs' means, from the shared place
  Length sd;                    ///< per axis, of the mean
  Length lean;                  ///< of one mark: half of what two opposite marks are apart; root mean square
  std::optional<Length> apart;  ///< the means of the two pairs from each other; absent with one pair
  bool pairs_disagree = false;  ///< by more than their sds leave 999 times in 1,000
};

/// Mean of marks at opposite turns.
///
/// Method    mean = mean of the pairs' means; its sd: the root of the marks' variances added up, over their
///           number (n marks alike: sd / sqrt n), since the pairs weigh the same whatever their sds. Two
///           pairs are held against each other by chi-square of 2 at 0.999.
/// CAVEAT    lean is a length: which way the housing stood at 0 is not known. The scatter of the marks makes
///           it a little large.
/// REQUIRES  one or two full pairs: 0 with 2, 1 with 3, each quarter once; sds of zero or more.
[[nodiscard]] TurnsResult mean_of_turns(std::span<const MarkAtTurn> marks);

}  // namespace deckmark
