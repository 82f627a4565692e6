#pragma once
/// Private to the room: what a cause does to plan positions, as small models that are fitted robustly.
/// Positions are complex numbers, easting + i northing, about a local zero.

#include <complex>
#include <memory>
#include <span>
#include <vector>

#include "asbuilt/causes.h"

namespace deckmark::causes {

using Complex = std::complex<double>;

inline Complex plane(const Point<Site>& p) { return {p.at.easting.metres(), p.at.northing.metres()}; }

/// All shots in plan.
struct Field {
  Complex zero;  ///< site coordinates of the local zero
  std::vector<Complex> design, built;
  std::vector<double> spread;  ///< sd of a shot over the usual sd
  double usual_sd = 0.002;     ///< metres
  Complex off(std::size_t i) const { return built[i] - design[i]; }
};

/// What a fit of some shots left.
struct Estimate {
  double information = 0;  ///< variance of the value = variance of one coordinate / information
  double value = 0;
  std::optional<Complex> by, centre;            ///< site difference; local place
  std::optional<double> turned = std::nullopt;  ///< degrees clockwise, beside `by`
};

class Model {
 public:
  Model() = default;
  Model(const Model&) = delete;
  Model& operator=(const Model&) = delete;
  virtual ~Model() = default;
  virtual std::size_t parameters() const = 0;
  /// Weighted least squares.
  virtual void fit(const Field& field, std::span<const std::size_t> shots,
                   std::span<const double> weights) = 0;
  /// What it leaves of a shot's misfit. `at`: the place of the shot in the list that was fitted.
  virtual Complex left(const Field& field, std::size_t shot, std::size_t at) const = 0;
  virtual Estimate estimate(const Field& field, std::span<const std::size_t> shots,
                            std::span<const double> weights) const = 0;
};

/// One vector for all.
std::unique_ptr<Model> shift_model();
/// A vector that is known.
std::unique_ptr<Model> known_shift_model(Complex by);
/// Turned about a place of its own.
std::unique_ptr<Model> turn_model();
/// Turned about `centre` (local).
std::unique_ptr<Model> turn_about_model(Complex centre);
/// As `turn_model`, its value the shift of `place`, which moved with the shots; of their centroid where there
/// is none. `by` is the shift of their centroid.
std::unique_ptr<Model> moved_model(std::optional<Complex> place);
std::unique_ptr<Model> stretch_model();
std::unique_ptr<Model> stretch_about_model(Complex centre);
/// Known ratio about a centre.
std::unique_ptr<Model> known_stretch_model(double ratio, Complex centre);
/// Along these vectors, one a shot: what one metre more in the distance does.
std::unique_ptr<Model> along_model(std::vector<Complex> ways);
/// The two coordinates along `first` and its companion exchanged, about `origin` (local).
std::unique_ptr<Model> swap_model(Complex first, Complex second, Complex origin);
/// Each shot belongs to another mark (local places, one a shot).
std::unique_ptr<Model> other_marks_model(std::vector<Complex> places, std::size_t parameters);
/// Reflected across a line with this normal.
std::unique_ptr<Model> mirror_model(Complex normal);
/// Reflected across any line, and moved along it.
std::unique_ptr<Model> mirror_free_model();
/// A curve to both sides of a line: `waves` cosines along it, at `places` (0 to 1, one a shot).
std::unique_ptr<Model> wave_model(std::vector<double> places, std::size_t waves);

/// How a model fits some shots, wild ones left out.
struct RobustFit {
  std::vector<Complex> left;    ///< one a shot
  std::vector<double> weights;  ///< 0 for wild ones
  std::size_t kept = 0;
  double before = 0, after = 0;  ///< weighted square sums over the kept, m^2
  double scatter = 0;            ///< robust sd of one coordinate, metres
};
RobustFit fit_robustly(Model& model, const Field& field, std::span<const std::size_t> shots);

/// Robust sd of one coordinate from the lengths of misfits.
double scatter_of(std::vector<double> lengths);

/// Misfits beyond this many sds of one coordinate are wild.
inline constexpr double kWild = 5;
/// The noise is never taken for less than this share of the stated sd.
inline constexpr double kLeastOfSd = 0.25;
/// Below this nothing is told apart: rounding of what was typed.
inline constexpr double kLeastScatter = 2e-5;

}  // namespace deckmark::causes
