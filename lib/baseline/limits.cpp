#include "baseline/limits.h"

#include <algorithm>
#include <cmath>

namespace deckmark {

namespace {

Limit tighter(SetOut setout, Length iso, std::optional<Length> tolerance) {
  if (tolerance && *tolerance < iso) return {iso, tolerance, *tolerance, LimitSource::job_tolerance};
  return {iso, tolerance, iso, setout == SetOut::primary ? LimitSource::iso_primary : LimitSource::iso_secondary};
}

}  // namespace

std::string_view limit_source_text(LimitSource source) {
  switch (source) {
    case LimitSource::iso_primary: return "ISO 4463-1:1989 primary (from memory)";
    case LimitSource::iso_secondary: return "ISO 4463-1:1989 secondary (from memory)";
    case LimitSource::job_tolerance: return "job tolerance";
    case LimitSource::dimension_tolerance: break;
  }
  return "job dimension_tolerance";
}

Angle iso_angle_limit(SetOut setout, Length shorter_side) {
  return Angle::degrees((setout == SetOut::primary ? 0.045 : 0.09) / std::sqrt(shorter_side.metres()));
}

Length iso_length_limit(SetOut setout, Length distance) {
  const bool primary = setout == SetOut::primary;
  return Length::millimetres(std::max(primary ? 4.0 : 8.0, (primary ? 0.75 : 1.5) * std::sqrt(distance.metres())));
}

Limit length_limit(SetOut setout, Length distance, std::optional<Length> tolerance) {
  return tighter(setout, iso_length_limit(setout, distance), tolerance);
}

Limit square_limit(SetOut setout, Length shorter_side, std::optional<Length> tolerance) {
  const Length zero = Length::metres(0);
  const Length iso = shorter_side > zero ? shorter_side * iso_angle_limit(setout, shorter_side).radians() : zero;
  return tighter(setout, iso, tolerance);
}

}  // namespace deckmark
