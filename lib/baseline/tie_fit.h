#pragma once
/// The arithmetic under `fit_baselines`: plain metres and radians about the centroids. Private to the room.
///
/// With azimuth A of +X, scale s, hand m = 1 (-1 mirrored), and e, n a tie's site offsets:
///   x = tx + (e sin A + n cos A) / s,  y = ty + m (n sin A - e cos A) / s.
/// Offsets and stated values of the x family are centred on its own weighted means, and the y family on its
/// own, so that tx and ty are nothing but the shifts of the two families.

#include <array>
#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "adjust/correlated.h"
#include "adjust/solve.h"
#include "baseline/fit.h"

namespace deckmark::tie_fit {

/// Two solutions whose weighted square sums differ by less cannot be told apart.
inline constexpr double kSameFit = 25;
/// A direction with a larger sd (radians), or a scale with a larger relative sd, is not determined at all.
inline constexpr double kOpenTurn = 0.5, kOpenScale = 0.2;
/// Under this redundancy nothing else checks a stated coordinate.
inline constexpr double kLeastRedundancy = 0.1;

struct Family {
  std::size_t count = 0;
  double weight = 0;                 // sum of 1/sd^2
  double value = 0;                  // weighted mean of the stated values, offset from `Ties::first_*`
  double easting = 0, northing = 0;  // weighted means of the positions, offsets from the first tie
};

/// One stated coordinate, centred on its family.
struct Stated {
  std::size_t tie;
  TieAxis axis;
  double value, easting, northing;
  double sd;   // against the found place, that counting as independent and round
  double own;  // of the stated coordinate alone, where the covariance of the found places is known
};

struct Ties {
  std::vector<Stated> stated;  // in the order of the ties, x before y
  std::vector<double> sds, values;
  Family x, y;
  double first_x = 0, first_y = 0;  // stated values that the families' offsets are from
  std::size_t count = 0;
  const Matrix* places = nullptr;  // covariance of the found places, where they hang together
  const Family& family(TieAxis axis) const { return axis == TieAxis::x ? x : y; }
};
Ties centre(TieView ties);

/// Of a found place, either axis: half of both variances.
Length place_sd(const Matrix& places, std::size_t tie);
/// Slopes of a computed x or y by the northing and easting of the found place.
std::array<double, 2> slopes_by_place(TieAxis axis, bool mirrored, double azimuth, double scale);
/// Slopes of the x or y that a fit computes of a found place, which it puts at `at`, by the fit's own
/// parameters.
std::array<double, 4> slopes_by_fit(TieAxis axis, const SimilarityParts& parts, const Point<Drawing>& at);
/// Covariance of the stated coordinates against the found places, in drawing axes. REQUIRES `places`.
Matrix covariance_of(const Ties& ties, bool mirrored, double azimuth, double scale);
/// Rows of one family.
std::vector<std::size_t> rows_of(const Ties& ties, TieAxis axis);

/// A minimum of the weighted square sum.
struct Minimum {
  double azimuth = 0, scale = 1, tx = 0, ty = 0;
  double square_sum = 0, misfit = 0;  // misfit: root of the mean square over the ties, metres
  bool determined = false;            // direction (and scale) fixed by the ties
  std::vector<double> residuals;
  NonlinearSolution solution;          // where determined
  std::optional<Whitening> whitening;  // by which it is one, where found places hang together
};

/// All minima of one hand, the best first. By a covariance those are only bounds that are out of the question
/// beside `best`, the square sum of the other hand, or beside the first.
struct Hand {
  std::vector<Minimum> minima;
  bool flat = false;        // every azimuth fits alike
  bool scale_flat = false;  // freed scale: an endless scale fits alike
  bool determined() const { return !flat && !scale_flat && !minima.empty() && minima.front().determined; }
};
Hand fit_hand(const Ties& ties, bool mirrored, bool scale_free, std::optional<double> best = std::nullopt);

/// Residuals at given parameters.
std::vector<double> residuals_at(const Ties& ties, bool mirrored, const Minimum& at);

/// Azimuths of V that differ by less (radians) are one.
inline constexpr double kSettledTurn = 1e-8;
/// V is taken at the azimuth that it leads to; two or three rounds settle it. Not where the square sum over
/// the stated coordinates is beyond anything.
inline constexpr int kMostRounds = 10;
inline constexpr double kHopeless = 1e4;

/// Parameters in the order tx, ty, A, s with their covariance, and the quality of every stated coordinate.
struct Estimate {
  double tx = 0, ty = 0, azimuth = 0, scale = 1;
  Matrix covariance{4, 4};
  Matrix estimator{4, 0};  // parameters by stated coordinates; no row of what is fixed is other than zero
  std::vector<double> sds, residuals, redundancy, residual_sds;
  std::vector<std::optional<double>> standardised;
  std::vector<std::optional<StatedError>> errors;  // empty without `places`, and with a held baseline
  double square_sum = 0;
  bool determined = false;
};
Estimate shared_estimate(const Ties& ties, bool mirrored, const Minimum& at, bool scale_free);
/// Shift and azimuth of +X from one family alone, at scale 1.
struct FamilyFit {
  NonlinearSolution solution;
  Matrix estimator;  // shift and azimuth by all stated coordinates; where converged
};
/// `covariance`: of all stated coordinates; null where they are independent. REQUIRES ties of that family.
FamilyFit fit_family(const Ties& ties, bool mirrored, TieAxis axis, double azimuth, const Matrix* covariance);
/// Direction and one origin from the family of the held baseline (y-ties for X), then the other origin.
Estimate held_estimate(const Ties& ties, bool mirrored, Hold hold, const Minimum& start);

/// Puts the transform about the centroid of the ties, and its gain.
void assemble(std::span<const Tie> ties, const Ties& centred, const Estimate& estimate, bool mirrored,
              BaselineResult& out);

/// The ratio of two units within 1 % of which the scale lies.
std::optional<UnitRatio> unit_ratio(double scale);

/// What a careful person would look at in a fit that is solved.
void add_doubts(std::span<const Tie> ties, const Ties& centred, std::span<const Point<Drawing>> mapped,
                BaselineResult& out);

}  // namespace deckmark::tie_fit
