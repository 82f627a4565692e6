#pragma once
/// Whether the two baselines stand square to each other.

#include "baseline/fit.h"
#include "baseline/limits.h"

namespace deckmark {

struct SquarenessOptions {
  SetOutFigures setout;
  std::optional<Length> tolerance;  ///< the job's, where it states one
};

/// The included angle of the two baselines as found. Lengths are over the shorter baseline.
struct SquarenessResult {
  bool x_open = false, y_open = false;  ///< the ties leave the direction of that baseline open; then no angle
  std::optional<Angle> included;        ///< of +X and +Y, over 90 degrees where they open
  std::optional<Angle> deviation, sd;   ///< included - 90 degrees, and its sd
  Length shorter =
      Length::metres(0);  ///< the smaller of the ties' extents along X and along Y, in the drawing
  TieAxis shorter_axis = TieAxis::x;
  std::optional<Length> deviation_over, sd_over;  ///< over the shorter baseline, with sign
  Limit limit;
  Verdict verdict = Verdict::unsure;  ///< unsure where open, or where the sd exceeds what is permitted
  bool contradicted = false;  ///< of lengths alone: they contradict one another, so that there is no angle
  /// The mapped point that moves most, and by how much on site, between the fit in use and the fit in which
  /// each baseline has its own direction and place: X from the y-ties alone, Y from the x-ties alone.
  std::optional<std::size_t> worst;
  std::optional<Length> at_worst;
};

/// Fits the direction of the X baseline to the y-ties alone and that of the Y baseline to the x-ties alone.
///
/// Method    without a covariance of the found places the families are independent, so that the variances of
///           the two directions add; with it each direction has its own part of it, and what both share
///           counts. With a freed scale the found lengths are divided by the fitted scale first.
/// REQUIRES  a solved fit of the same ties.
/// CAVEAT    a mark that states x and y enters both directions; its found place is one, its two sds are taken
///           as independent where no covariance says more.
[[nodiscard]] SquarenessResult squareness(TieView ties, const BaselineResult& fit,
                                          std::span<const Point<Drawing>> mapped,
                                          const SquarenessOptions& options);

/// Of lengths alone, where no fit is in use: the mapped point at which measuring square to one baseline and
/// along the other differ most, and by how much: the deviation times the larger of its x and y.
void put_worst(std::span<const Point<Drawing>> mapped, SquarenessResult& square);

/// Drawing place of a tie: what it states, and by the fit what it does not state. REQUIRES a solved fit where
/// one of the two is not stated.
Point<Drawing> place_of(const Tie& tie, const BaselineResult& fit);

}  // namespace deckmark
