#include "baseline/limits.h"

#include <algorithm>
#include <cmath>

namespace deckmark {

namespace {

LimitSource source_of(const SetOutFigures& figures, bool overridden) {
  if (overridden) return LimitSource::job_figures;
  return figures.tier == SetOut::primary ? LimitSource::iso_primary : LimitSource::iso_secondary;
}

Limit tighter(LimitSource source, Length setout, std::optional<Length> tolerance) {
  if (tolerance && *tolerance < setout) return {setout, tolerance, *tolerance, LimitSource::job_tolerance};
  return {setout, tolerance, setout, source};
}

}  // namespace

std::string_view limit_source_text(LimitSource source) {
  switch (source) {
    case LimitSource::iso_primary:
      return "ISO 4463-1:1989 primary (from memory)";
    case LimitSource::iso_secondary:
      return "ISO 4463-1:1989 secondary (from memory)";
    case LimitSource::job_tolerance:
      return "job tolerance";
    case LimitSource::job_figures:
      return "job set-out figures";
    case LimitSource::dimension_tolerance:
      break;
  }
  return "job dimension_tolerance";
}

Angle setout_angle_limit(const SetOutFigures& figures, Length shorter_side) {
  const Angle iso = Angle::degrees(figures.tier == SetOut::primary ? 0.045 : 0.09);
  return Angle::degrees(figures.angle.value_or(iso).degrees() / std::sqrt(shorter_side.metres()));
}

Length setout_length_limit(const SetOutFigures& figures, Length distance) {
  const bool primary = figures.tier == SetOut::primary;
  const Length least = figures.least.value_or(Length::millimetres(primary ? 4.0 : 8.0));
  const Length factor = figures.length.value_or(Length::millimetres(primary ? 0.75 : 1.5));
  return std::max(least, factor * std::sqrt(distance.metres()));
}

Limit length_limit(const SetOutFigures& figures, Length distance, std::optional<Length> tolerance) {
  return tighter(source_of(figures, figures.length || figures.least), setout_length_limit(figures, distance),
                 tolerance);
}

Limit square_limit(const SetOutFigures& figures, Length shorter_side, std::optional<Length> tolerance) {
  const Length zero = Length::metres(0);
  const Length setout =
      shorter_side > zero ? shorter_side * setout_angle_limit(figures, shorter_side).radians() : zero;
  return tighter(source_of(figures, figures.angle.has_value()), setout, tolerance);
}

}  // namespace deckmark
