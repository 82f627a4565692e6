#pragma once
/// What to turn and measure for every mark, how well it will be placed, and in which order to walk.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "station/setup.h"
#include "transform/transform.h"

namespace deckmark {

enum class StakeLevel : std::uint8_t { control, floor, deck };

/// A point to stake out. Its name and number live elsewhere, by index.
struct StakePoint {
  Point<Site> at;
  std::optional<Elevation>
      elevation;  ///< of the floor, the deck, the control mark; absent: level with the axis
  StakeLevel level = StakeLevel::floor;
  /// What the place's own error adds to that of the stake, with what it shares with the setup's taken off
  /// (`place_share`); absent: the place counts as exact.
  std::optional<PlanCovariance<Site>> place = std::nullopt;
};

/// What the error of a mapped mark adds to a stake from a setup on which the baselines hang too: D S D' - D C
/// J' - J C' D', D the slopes of the mark by the parameters, J those of a stake by the setup's place and
/// orientation.
[[nodiscard]] PlanCovariance<Site> place_share(const FittedTransform& fit, const Point<Drawing>& mark,
                                               const BaselinesWithSetup& with_setup,
                                               const Point<Site>& setup);

struct StakeOptions {
  Length target_height = Length::metres(0);       ///< above the mark
  Length deck_target_height = Length::metres(0);  ///< negative: the target hangs below the deck
  Length tolerance = Length::millimetres(6);      ///< permitted 95 % radius in plan
  bool one_face = false;  ///< sds for marks staked in one face: sqrt(2) times the pointing and zenith sds
};

struct StakeFlags {
  bool check = false;     ///< control, sighted first and last
  bool steep = false;     ///< steeper than the instrument's `steep`
  bool near = false;      ///< under 2 m, horizontally
  bool weak = false;      ///< predicted 95 % plan radius over the tolerance
  bool far_deck = false;  ///< 10 mm of deck height move the spot by more than the tolerance
};

/// How to find one point. A deck point is found by circle and measured horizontal distance; the zenith angle
/// says where to look. rise, zenith and slope are to the target.
struct StakeRow {
  std::size_t point = 0;
  CircleReading circle = CircleReading::degrees(0);
  Length horizontal = Length::metres(0);
  std::optional<ZenithAngle> zenith;
  std::optional<Length> slope, rise_from_axis;  ///< absent where an elevation is missing
  Length sd_along = Length::metres(0), sd_across = Length::metres(0);
  std::optional<Length> sd_up;
  PlanCovariance<Site> covariance;
  StakeFlags flags;
};

/// Inverse of `side_shot`: a reading that reduces to the point.
///
/// sds       the setup's covariance carried through; along the sight also distance and target sd, across also
///           HD angle_sd and target sd, up also HD angle_sd, the distance's share and a height.
/// REQUIRES  a solved setup with an orientation.
/// Accuracy  shots reduced again return the point within 0.01 mm up to 500 m, zenith angles 5 to 175 degrees.
/// CAVEAT    straight above or below the instrument the circle says nothing; it is given as 0 turned by
/// nothing.
[[nodiscard]] StakeRow stake(const SetupResult& setup, const StakePoint& point, std::size_t index,
                             const StakeOptions& options, const InstrumentOptions& instrument);

/// Predicted covariance of one mark from a planned setup: what `stake` would say.
[[nodiscard]] StakeRow stake(const PlannedSetup& planned, const Point<Site>& spot, const StakePoint& point,
                             std::size_t index, const StakeOptions& options,
                             const InstrumentOptions& instrument);

/// An order of points and the way it takes, from the start through all of them.
struct Walk {
  std::vector<std::size_t> order;
  Length length = Length::metres(0);
};

/// Order by run: along each run to and fro; next comes the run with the nearest end, from where the last one
/// ended (at first from `start`). `runs` gives each point's run by number; points of run 0 have none and
/// stand each for itself. Within a run: the order given, or along its main direction where that is shorter.
[[nodiscard]] Walk walk_by_run(std::span<const Point<Site>> points, std::span<const std::uint32_t> runs,
                               const Point<Site>& start);

/// The shortest way that was found, never longer than `walk_by_run`: that way and nearest neighbour from
/// `start`, each improved by 2-opt until no move helps, the better of both. The start is fixed, the end is
/// free. Speed: 10,000 points in well under 2 s.
/// CAVEAT    a shorter way may exist.
[[nodiscard]] Walk walk_shortest(std::span<const Point<Site>> points, std::span<const std::uint32_t> runs,
                                 const Point<Site>& start);

}  // namespace deckmark
