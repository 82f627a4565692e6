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
  bool is_control = false;
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

/// One name that a setup sees elsewhere than the others do: two points under one name, or a setup that is
/// off.
struct SeenApart {
  std::size_t point = 0;
  std::size_t setup = 0, sight = 0;  ///< that sees it elsewhere
  std::size_t other_setup = 0;       ///< that sees it where the net has it
  Length apart = Length::metres(0);
};

struct NetOptions {
  SetupOptions setup;
  std::optional<Length> control_sd;  ///< of control that states none; absent: it is fixed
};

struct NetResult {
  std::vector<SetupResult> setups;              ///< in the order of the setups; status says which are solved
  std::vector<std::optional<NetPlace>> points;  ///< nothing where it has no place
  /// Which adjustment each setup is part of: setups of one number share points, or control that has an sd.
  std::vector<std::size_t> part_of;
  bool own_frame = false;                ///< no control at all: the first setup's frame is used
  std::vector<std::size_t> open_points;  ///< sighted, but readings to them leave their place open
  std::vector<SeenApart> apart;
  /// What is wrong, the strongest first, each once; the setups have their own in `SetupResult::wrong`.
  std::vector<Wrong> wrong;
  NetCovariance covariance;
  std::size_t checked = 0;  ///< observations with a redundancy, of which `limit` was made
  double limit = 3.29;      ///< of a standardised residual (`wrong_limit`)
  /// Collimation and index error of the instrument were taken out of sights in one face.
  bool faces_known = false;
};

/// Adjusts all setups together.
///
/// Frames    as `adjust_setup`; without control the first setup's frame: its place 0, 0, its circle as
/// azimuth. Weights   as `adjust_setup`, but that horizontal distance and height of one sight share their
/// slope and
///           zenith: their covariance is J diag(sd_slope^2, sd_zenith^2) J' plus target_sd^2, height_sd^2.
///           The instrument's height is one observation a setup, of sd height_sd.
/// Faces     one collimation and one index error for all sights in one face, from all sights in two; where
/// there
///           are none in two, sights in one face are taken as they are.
/// Method    sheets of polar sights joined by similarity, then Gauss-Newton, points eliminated (`blocks.h`).
/// Wrong     named over the whole net; see `net_wrong.h`.
[[nodiscard]] NetResult adjust_net(const NetInput& input, const NetOptions& options);

}  // namespace deckmark
