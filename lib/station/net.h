#pragma once
/// One net of setups, sighted points and control, adjusted together in plan and height.

#include <array>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "adjust/matrix.h"
#include "station/setup.h"

namespace deckmark {

/// A point of the net; its name lives elsewhere, by index.
struct NetPoint {
  std::optional<ControlMark> control;  ///< empty: only sighted
};

/// One setup with its reduced sights; `input` as for a setup alone, but that its targets are net points.
struct NetSetup {
  SetupPlace place = SetupPlace::free;
  std::optional<std::size_t> over;  ///< known: the net point stood over, control or sighted by others
  std::optional<ControlMark> own;   ///< own: the instrument's coordinates
  Length instrument_height = Length::metres(0);
  std::optional<Angle> orientation;  ///< stated: used where nothing that is sighted gives it
  std::span<const Sight> sights;
  std::span<const FaceHalf> halves;  ///< of its sights in two faces
  std::vector<std::size_t> points;   ///< net point of each target index of the sights
  /// What the setup's sights to control alone give, where that was computed already.
  const SetupResult* alone = nullptr;
};

struct NetInput {
  std::span<const NetSetup> setups;
  std::span<const NetPoint> points;
};

/// A point as the net has it.
struct NetPlace {
  Point<Site> at{{.northing = Length::metres(0), .easting = Length::metres(0)}};
  PlanCovariance<Site> covariance;
  std::optional<Elevation> elevation;
  std::optional<Length> elevation_sd;
  std::size_t sights = 0;  ///< that hold it
  double redundancy = 0;   ///< sum over the readings to it
};

/// What a linear form of the net's unknowns is made of: parts of points (northing, easting, elevation) and of
/// setups (northing, easting, orientation in radians, elevation of the axis).
struct NetPart {
  enum class Of : std::uint8_t { point, setup } of = Of::point;
  std::size_t index = 0;
  std::size_t part = 0;  ///< point: 0 northing, 1 easting, 2 elevation; setup: 2 orientation, 3 axis
  double factor = 1;
};
using NetForm = std::vector<NetPart>;

/// The joint covariance of all that a net fixed; copies share it. Parts that are held fixed, or that the net
/// does not have, count as exact.
class NetCovariance {
 public:
  NetCovariance() = default;
  /// J Sigma J' of the forms, in metres and radians.
  Matrix of(std::span<const NetForm> forms) const;

 private:
  friend class NetResults;
  struct State;
  std::shared_ptr<const State> state_;
};

struct NetOptions {
  SetupOptions setup;
  std::optional<Length> control_sd;  ///< of control that states none; absent: it is fixed
};

struct NetResult {
  std::vector<SetupResult> setups;              ///< in the order of the setups; status says which are solved
  std::vector<std::optional<NetPlace>> points;  ///< nothing where it has no place
  /// False: the readings together fit no place, and no setup alone says why. Setups are as each is alone.
  bool converged = true;
  bool own_frame = false;  ///< no control at all: the first setup's frame is used
  /// What is wrong, the strongest first, each once; the setups have their own in `SetupResult::wrong`.
  std::vector<Wrong> wrong;
  NetCovariance covariance;
  double limit = 3.29;  ///< of a standardised residual: `wrong_limit` of those that are checked
  /// Collimation and index error of the instrument were taken out of sights in one face.
  bool faces_known = false;
};

/// Adjusts all setups together.
///
/// Frames    as `adjust_setup`; without control the first setup's frame: its place 0, 0, its circle azimuth.
///
/// Weights   as `adjust_setup`, but that horizontal distance and rise of one sight share its slope and its
///           zenith angle: their covariance is J diag(sd_slope^2, sd_zenith^2) J' plus target_sd^2 and
///           height_sd^2. The instrument's height is one observation a setup, of sd height_sd.
///
/// Faces     one collimation and one index error for all sights in one face, from all sights in two; where
///           none are in two, sights in one face are taken as they are.
///
/// Method    sheets of polar sights joined by similarity, then Gauss-Newton, points eliminated (`blocks.h`).
///           A name that is seen at two places is two points; where nothing settles, a sight that falls far
///           from its control is set apart too. Each is named.
///
/// Wrong     named over the whole net; see `net_wrong.h`.
[[nodiscard]] NetResult adjust_net(const NetInput& input, const NetOptions& options);

}  // namespace deckmark
