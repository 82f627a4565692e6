#include "baseline/unit_mends.h"

#include <algorithm>
#include <cmath>

#include "baseline/tie_fit.h"

namespace deckmark {

namespace {

constexpr LengthUnit kUnits[] = {LengthUnit::metre, LengthUnit::millimetre, LengthUnit::centimetre,
                                 LengthUnit::foot, LengthUnit::inch};
/// Units nearer than this to one another are told apart by no tie.
constexpr double kSameUnit = 0.01;
constexpr Length kLeastReach = Length::metres(1), kMostReach = Length::metres(10000);

bool is_believed(std::span<const Tie> ties) {
  Length most = Length::metres(0);
  for (const Tie& t : ties) most = std::max(most, distance(t.at, ties.front().at));
  return most >= kLeastReach && most <= kMostReach;
}

/// The rms misfit, where no tie is beyond its tolerance; a set that is solved one way or the other.
std::optional<Length> fits(std::span<const Tie> ties, const BaselineOptions& options) {
  const BaselineResult r = fit_baselines(ties, options, {});
  if (r.status != FitStatus::solved || r.degrees_of_freedom == 0 || has_outside(r)) return std::nullopt;
  return r.misfit;
}

std::vector<Tie> rescaled(std::span<const Tie> ties, bool is_site, double ratio) {
  std::vector<Tie> out(ties.begin(), ties.end());
  for (Tie& t : out) {
    if (is_site) {
      t.at = {{.northing = t.at.at.northing * ratio, .easting = t.at.at.easting * ratio}};
      continue;
    }
    if (t.x) t.x = *t.x * ratio;
    if (t.y) t.y = *t.y * ratio;
  }
  return out;
}

}  // namespace

std::vector<UnitMend> unit_mends(std::span<const Tie> ties, const BaselineOptions& options,
                                 LengthUnit drawing, LengthUnit site) {
  std::vector<UnitMend> out;
  if (options.scale_free || ties.size() < 2 || fits(ties, options)) return out;
  const auto freed = tie_fit::fit_hand(tie_fit::centre(ties), options.mirrored, true);
  if (!freed.determined()) return out;
  const double scale = freed.minima.front().scale;  // site over drawing; 1 where the units belong together
  for (const bool is_site : {true, false}) {
    const LengthUnit read_as = is_site ? site : drawing;
    for (const LengthUnit unit : kUnits) {
      const double ratio = metres_in(unit) / metres_in(read_as);
      if (std::abs(ratio - 1) < kSameUnit) continue;
      if (std::abs((is_site ? scale * ratio : scale / ratio) - 1) > kSameUnit) continue;
      const std::vector<Tie> mended = rescaled(ties, is_site, ratio);
      const auto after = is_believed(mended) ? fits(mended, options) : std::nullopt;
      if (after) out.push_back({is_site, read_as, unit, *after});
    }
  }
  return out;
}

}  // namespace deckmark
