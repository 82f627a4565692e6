#pragma once
/// Where the two baselines lie on site: the fit of the drawing frame to ties.

#include <concepts>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "adjust/matrix.h"
#include "measure/fault.h"
#include "measure/frame.h"
#include "measure/verdict.h"
#include "transform/transform.h"

namespace deckmark {

/// A point found on site whose drawing x, or y, or both, are known. Its name lives elsewhere, by index.
struct Tie {
  std::optional<Length> x, y;  ///< one of the two at least
  Point<Site> at;
  Length sd_x, sd_y;  ///< above zero, of the stated coordinate against the found point
  Length tolerance;   ///< permitted residual
  /// Of the found point on site, beside `sd_x`, `sd_y`; `with_shot_sds` adds them there.
  Length shot_sd_northing = Length::metres(0), shot_sd_easting = Length::metres(0);
};

/// Ties, with the covariance of their found places where these come from one net and share its errors. Owns
/// nothing.
class TieView {
 public:
  TieView() = default;
  /// `places`: covariance of the found places in m^2, site axes, 2n x 2n in the order northing, easting of
  /// tie 0, northing, easting of tie 1, ...; zero for places that count as exact. Then the sds of a tie are
  /// of its stated coordinates on the building alone, and those of its shot are not used. Without it the
  /// places are independent.
  template <std::convertible_to<std::span<const Tie>> Ties>
  TieView(const Ties& ties, const Matrix* places = nullptr)  // NOLINT: ties alone are a view of them
      : ties_(ties), places_(places) {}

  std::size_t size() const { return ties_.size(); }
  bool empty() const { return ties_.empty(); }
  const Tie& operator[](std::size_t i) const { return ties_[i]; }
  const Tie& front() const { return ties_.front(); }
  auto begin() const { return ties_.begin(); }
  auto end() const { return ties_.end(); }
  std::span<const Tie> ties() const { return ties_; }
  const Matrix* places() const { return places_; }

 private:
  std::span<const Tie> ties_;
  const Matrix* places_ = nullptr;
};

/// Which baseline keeps its own direction where the two are not exactly square.
enum class Hold : std::uint8_t { both, x, y };

struct BaselineOptions {
  bool scale_free = false;
  Hold hold = Hold::both;  ///< x and y need a fixed scale
  bool mirrored = false;
  std::optional<Azimuth> azimuth_near = std::nullopt;  ///< rough azimuth of +X
  Length position_tolerance =
      Length::millimetres(6);  ///< DEFAULT the plan tolerance of as-built marks; a mapped position whose sd
                               ///< exceeds it is told as nearly open
};

enum class FitStatus : std::uint8_t {
  solved,
  open,             ///< the ties leave something undetermined, see `open`
  two_fits,         ///< two directions fit, see `azimuths`
  only_mirrored,    ///< the ties fit the other hand, see the two misfits
  azimuth_refused,  ///< `azimuth_near` is farther than 60 degrees from every fit
  units_differ,     ///< the freed scale is the ratio of two units, see `units`
  not_converged     ///< the iteration did not settle; no known input does this
};

/// Axis of a stated coordinate.
enum class TieAxis : std::uint8_t { x, y };

/// What the ties do not fix. Several may hold.
struct OpenParts {
  bool along_x = false, along_y = false;  ///< origin along that axis: no tie states it
  bool rotation = false, scale = false;
  bool together = false;  ///< rotation and scale: each would do, given the other
  std::optional<Hold>
      held;  ///< open only because this baseline is held, and its own ties leave the direction open
  bool one_place = false;  ///< all ties lie at one place
  bool parallel = false;   ///< the marks of the two baselines lie on parallel lines, which do not cross
  std::optional<Hold>
      no_length;  ///< all marks of this baseline, two or more, were found at one and the same place
  std::size_t ties = 0, stated_x = 0, stated_y = 0;
  bool any() const { return along_x || along_y || rotation || scale || parallel || no_length; }
};

/// The error of one stated coordinate, as stated minus true, and the sd of it.
struct StatedError {
  Length by, sd;
};

/// One stated coordinate.
struct TieRow {
  std::size_t tie = 0;
  TieAxis axis = TieAxis::x;
  Length stated, computed, residual;   ///< residual = stated minus computed, drawing axes
  std::optional<double> standardised;  ///< absent where the redundancy is 0
  double redundancy = 0;  ///< 0 unchecked to 1; a little beyond either where found places hang together
  Length sd, tolerance;   ///< sd of the stated coordinate against the found place, both together
  Length residual_sd = Length::metres(0);  ///< of the residual; 0 where nothing checks it
  Verdict verdict = Verdict::within;       ///< unsure where the redundancy is under 0.1
  /// What all others together say of it, where found places hang together and no baseline is held; else that
  /// is the residual over the redundancy, with the sd of the residual over the redundancy.
  std::optional<StatedError> error = std::nullopt;
};

/// Names of two units whose ratio the fitted scale is: what the numbers look like.
struct UnitRatio {
  std::string_view drawing,
      site;          ///< plural words: the drawing looks like `drawing` where it was read as `site`
  double ratio = 1;  ///< one `drawing` over one `site`, the scale that they explain
  double scale = 1;  ///< the scale that was fitted
};

enum class DoubtKind : std::uint8_t {
  mirroring_not_checked,  ///< plain and mirrored fit alike; the key was followed
  mirrored_fits_better,   ///< by more than chance, but the job's own fit is within tolerance
  nearly_open,            ///< `value` = sd (m) of the mapped point `index`, over the position tolerance
  weak_base,          ///< `value` = reach of the layout over the extent of the ties (ratio), point `index`
  no_redundancy,      ///< nothing is left over: zero residuals say nothing
  unchecked,          ///< `value` = number of stated coordinates with redundancy under 0.1
  scale_off,          ///< freed scale: `value` = ppm from 1, over 50 ppm
  two_feet,           ///< freed scale within its sd of the ratio of the two feet: `value` = ppm
  looks_like_units,   ///< scale fixed, ties outside, and a freed scale would be the ratio `units`
  looks_like_missing  ///< tie `index`: far out with a coordinate that is exactly 0, as if it were missing
};

struct Doubt {
  DoubtKind kind;
  double value = 0;
  std::size_t index = 0;
};

struct BaselineResult {
  FitStatus status = FitStatus::open;
  BaselineOptions options;  ///< what was asked
  OpenParts open;
  std::vector<Azimuth> azimuths;  ///< of +X, every fit that cannot be told from the best; the best first
  /// Root mean square over the ties of their misfit, for what the job says and for the other hand.
  Length misfit = Length::metres(0), misfit_other_hand = Length::metres(0);
  std::optional<UnitRatio> units;
  std::optional<FittedTransform> fit;  ///< only where solved
  std::vector<TieRow> rows;  ///< in the order of the ties, x before y; also where refused, if there is a fit
  std::optional<double> variance_factor;  ///< v'Pv / degrees of freedom; absent where there are none
  std::size_t degrees_of_freedom = 0;
  std::vector<Doubt> doubts;
  /// Where solved: 4 x 2n, derivative of site_centre easting, northing, azimuth (rad) and scale by the found
  /// northing, easting of every tie, the drawing centre staying as it is. So the covariance of the baselines
  /// with anything else of the net is gain * Cov(found places, that).
  Matrix gain{};
};

/// Fits the drawing frame to the ties.
///
/// Frames    ties: Drawing coordinates stated, Site coordinates found; mapped: Drawing points that will be
///           laid out.
/// Method    residual = stated minus computed in drawing axes, weight 1/sd^2; Gauss-Newton about the
///           centroids from every minimum over the azimuth, plain and mirrored.
///           With `hold`, direction and one origin from one family of ties, then the other origin.
///           Covariance from the stated sds.
///           With the covariance S of the found places: V = diag(sd^2) + B S B' in place of the sds, B the
///           turn into drawing axes at the azimuth and scale of the minimum. The azimuths are searched with
///           independent sds; minima, square sums, and all that is told of the fit come from V.
/// Result    status; data never makes it throw. Two fits cannot be told apart when their weighted square sums
///           differ by less than 25; `azimuth_near` chooses the only one within 60 degrees.
/// REQUIRES  every tie states x or y, finite numbers, sds above zero; a fixed scale with `hold` x or y.
/// Accuracy  1e-9 m and 1e-12 of the scale at coordinates in the millions, sites up to 1 km across.
[[nodiscard]] BaselineResult fit_baselines(TieView ties, const BaselineOptions& options,
                                           std::span<const Point<Drawing>> mapped);

/// The same ties with the sds of their shots turned into the drawing's axes and added to `sd_x`, `sd_y`, so
/// that nothing is left beside them. Northing and easting of a shot count as independent.
std::vector<Tie> with_shot_sds(std::span<const Tie> ties, Azimuth azimuth_x);
/// The same before the azimuth is known: half of both variances for either axis. Exact where they are equal.
std::vector<Tie> with_shot_sds(std::span<const Tie> ties);
/// Ties that stand alone, for what knows no covariance: the sds of their found places, half of both variances
/// for either axis, added to `sd_x`, `sd_y`.
std::vector<Tie> with_place_sds(TieView ties);

/// A refusal in words, for the problem line of the ties table. REQUIRES a status other than solved.
Fault refusal(const BaselineResult& result);

/// True where at least one row is outside.
bool has_outside(const BaselineResult& result);

/// How far any set of mapped points reaches is told by the corners of its extent: sds are largest there.
std::vector<Point<Drawing>> extent_corners(std::span<const Point<Drawing>> points);

}  // namespace deckmark
