#pragma once
/// Taped lengths, printed dimensions, and squareness by diagonals.

#include <optional>
#include <span>
#include <vector>

#include "baseline/limits.h"
#include "measure/frame.h"
#include "measure/verdict.h"

namespace deckmark {

/// A distance measured between two marks.
struct MeasuredLength {
  Length tape;                        ///< as read
  std::optional<double> temperature;  ///< of the tape, degrees C; with it: steel
  std::optional<Length> slope_rise;   ///< height of one end above the other
  std::optional<Length> sd;
};
struct LengthOptions {
  double tape_standard = 20;  ///< degrees C at which the tape is right
  Length default_sd;
  SetOutFigures setout;
  std::optional<Length> tolerance;  ///< the job's, where it states one
  double scale = 1;                 ///< of the fit: a freed scale divides what was measured on site
};
struct LengthCheck {
  Length stated, measured, deviation, sd;
  Length by_temperature, by_slope;  ///< corrections that were applied to the tape, on site
  Limit limit;
  Verdict verdict = Verdict::within;
};

/// Steel: 11.6 ppm per degree C (common practice).
inline constexpr double kSteelPerDegree = 11.6e-6;

/// The tape brought to its temperature, then to the horizontal: sqrt(m^2 - rise^2). Empty where the rise is
/// not less than the length.
std::optional<Length> horizontal(const MeasuredLength& measured, double tape_standard);
/// deviation = measured - stated. Empty where `horizontal` is.
[[nodiscard]] std::optional<LengthCheck> check_length(const Point<Drawing>& from, const Point<Drawing>& to,
                                                      const MeasuredLength& measured,
                                                      const LengthOptions& options);

/// A printed dimension against the keyed points: stated = printed, measured = keyed.
struct DimensionCheck {
  Length stated, measured, deviation, permitted;
  Verdict verdict = Verdict::within;
};
[[nodiscard]] DimensionCheck check_dimension(const Point<Drawing>& from, const Point<Drawing>& to,
                                             Length printed, Length tolerance);

/// A length with its sd.
struct SdLength {
  Length value, sd;
};

/// The angle between two legs from the three sides of a triangle (3-4-5 and any other).
struct CornerResult {
  bool possible = false;                                       ///< the sides close a triangle
  Angle included = Angle::degrees(0), sd = Angle::degrees(0);  ///< between the legs
  Length over_baseline = Length::metres(0),
         sd_over_baseline = Length::metres(0);  ///< departure from square at its end
  Limit limit;
  bool too_small = false;  ///< two sds at the end of the baseline exceed half of what is permitted there
  Verdict verdict = Verdict::unsure;
};
/// Law of cosines; sd by its derivatives. `baseline` is the length over which the angle matters.
[[nodiscard]] CornerResult corner_from_sides(const SdLength& leg_a, const SdLength& leg_b,
                                             const SdLength& diagonal, Length baseline,
                                             const SetOutFigures& setout, std::optional<Length> tolerance);

/// Four marks in order round a rectangle with all sides and both diagonals measured: 6 lengths, 5 unknowns.
struct QuadrilateralResult {
  bool solved = false;
  Angle included = Angle::degrees(0), sd = Angle::degrees(0);  ///< at the first mark, adjusted
  std::vector<Length> residuals;  ///< of sides 12, 23, 34, 41 and diagonals 13, 24: measured minus adjusted
  std::vector<double> standardised;
  double variance_factor = 0;                      ///< one degree of freedom
  Length diagonal_difference = Length::metres(0);  ///< 13 minus 24, as measured
  /// Opposite sides differ by more than three sds: equal diagonals then do not prove a rectangle.
  bool sides_unequal = false;
  Length over_baseline = Length::metres(0), sd_over_baseline = Length::metres(0);
  Limit limit;
  bool too_small = false;
  Verdict verdict = Verdict::unsure;
};
/// REQUIRES six lengths above zero in the order 12, 23, 34, 41, 13, 24.
[[nodiscard]] QuadrilateralResult corner_from_quadrilateral(std::span<const SdLength> lengths,
                                                            Length baseline, const SetOutFigures& setout,
                                                            std::optional<Length> tolerance);

}  // namespace deckmark
