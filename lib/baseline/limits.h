#pragma once
/// Permitted deviations and where they come from.

#include <cstdint>
#include <optional>
#include <string_view>

#include "measure/angle.h"
#include "measure/length.h"

namespace deckmark {

/// Tier of the set-out that squareness and lengths are held to.
enum class SetOut : std::uint8_t { primary, secondary };

/// The set-out figures that apply: those of ISO 4463-1 for the tier, or the job's own in their place.
struct SetOutFigures {
  SetOutFigures(SetOut of_tier = SetOut::secondary)
      : tier(of_tier) {}  // NOLINT: a tier alone means its figures
  SetOut tier;
  std::optional<Angle> angle;    ///< of a right angle, over sqrt(L in metres)
  std::optional<Length> length;  ///< of a distance, times sqrt(L in metres)
  std::optional<Length> least;   ///< of a distance, however short
};

/// What decided a permitted deviation.
enum class LimitSource : std::uint8_t {
  iso_primary,
  iso_secondary,
  job_tolerance,
  dimension_tolerance,
  job_figures
};
/// `ISO 4463-1:1989 secondary (from memory)`, `job tolerance`.
std::string_view limit_source_text(LimitSource source);

/// A limit as it was found: both figures, and the one that decides.
struct Limit {
  Length iso = Length::metres(0);        ///< by the set-out figures: ISO 4463-1, or the job's in their place
  std::optional<Length> job;             ///< the job's own tolerance, where it states one
  Length permitted = Length::metres(0);  ///< the tighter
  LimitSource source = LimitSource::iso_secondary;
};

/// ISO 4463-1:1989, angle of a right angle over the shorter side: 0.045 (primary) or 0.09 (secondary) /
/// sqrt(L) degrees, L in metres. From memory. REQUIRES a length above zero.
Angle setout_angle_limit(const SetOutFigures& figures, Length shorter_side);
/// ISO 4463-1:1989, distance: 0.75 or 1.5 sqrt(L) mm, at least 4 or 8 mm, L in metres. From memory.
Length setout_length_limit(const SetOutFigures& figures, Length distance);

/// The limit of a distance.
Limit length_limit(const SetOutFigures& figures, Length distance, std::optional<Length> tolerance);
/// The limit of squareness as a length over the shorter side.
Limit square_limit(const SetOutFigures& figures, Length shorter_side, std::optional<Length> tolerance);

}  // namespace deckmark
