#pragma once
/// Drawing and site read in units that do not belong together: which of the two to read otherwise.

#include <span>
#include <vector>

#include "baseline/fit.h"

namespace deckmark {

/// A unit that makes the ties fit.
struct UnitMend {
  bool is_site = false;  ///< northings and eastings are meant; else x and y
  LengthUnit read_as = LengthUnit::metre, meant = LengthUnit::metre;
  Length after = Length::metres(0);  ///< rms misfit of the ties once read so
};

/// Units that bring ties which misfit to what their tolerances allow: of the site first, then of the drawing.
/// Empty where the ties fit as they are, where the scale is free, or where no unit helps.
///
/// Method   every unit in turn instead of the one that the numbers were read in.
/// CAVEAT   ties alone never say which of the two was keyed wrongly; a unit is left out only where the ties
///          would then lie within 1 m of one another or reach over more than 10 km (our rule).
[[nodiscard]] std::vector<UnitMend> unit_mends(std::span<const Tie> ties, const BaselineOptions& options,
                                               LengthUnit drawing, LengthUnit site);

}  // namespace deckmark
