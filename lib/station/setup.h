#pragma once
/// Where an instrument stands: on a known mark, free, or where it says itself; its orientation; its elevation
/// on its own; what its sights say of each other; side shots.

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "measure/angle_text.h"
#include "measure/ellipse.h"
#include "measure/frame.h"
#include "measure/verdict.h"
#include "station/sights.h"

namespace deckmark {

/// A point whose site coordinates are known; held fixed unless an sd (per axis, and of the elevation) is
/// stated.
struct ControlMark {
  Point<Site> at;
  std::optional<Elevation> elevation;
  std::optional<Length> sd;
};

enum class SetupPlace : std::uint8_t {
  known,  ///< over a control mark, which is one more observation with the centring sd
  free,   ///< anywhere
  own     ///< coordinates that the instrument computed itself; their sd is stated, or 1 mm
};

struct SetupInput {
  SetupPlace place = SetupPlace::free;
  std::optional<ControlMark> mark;  ///< the mark, or the instrument's own coordinates
  Length instrument_height = Length::metres(0);
  std::optional<Angle> orientation;  ///< stated: used where no control is sighted
  std::span<const Sight> sights;
  std::span<const std::optional<ControlMark>>
      targets;  ///< by target index; empty where the target is no control
};

struct SetupOptions {
  InstrumentOptions instrument;
  Length position_tolerance =
      Length::millimetres(6);  ///< permitted 95 % radius before a setup is told as weak
};

enum class SetupStatus : std::uint8_t {
  solved,
  place_only,      ///< coordinates without sights or orientation: no stake list, no side shots
  no_orientation,  ///< on a known mark, but no control is sighted and no orientation stated
  too_few,         ///< fewer sights to control than unknowns
  open,  ///< as many sights as unknowns, but they leave something open: targets at one place, or the circle
  two_places,  ///< two positions fit alike
  apart,       ///< two distances alone that do not meet
  not_converged
};

enum class Quantity : std::uint8_t { circle, distance, height };

/// One observation of a sight to control. Angles belong to circles, lengths to the others; residual =
/// observed minus computed, of all sights together.
struct SightRow {
  std::size_t sight = 0;
  Quantity quantity = Quantity::circle;
  Angle circle = Angle::degrees(0), circle_residual = Angle::degrees(0);
  Length length = Length::metres(0),
         length_residual = Length::metres(0);  ///< height: from ground mark to ground mark
  /// How far away in plan the target is, from the place that came out: an angle times this is a length there.
  Length reach = Length::metres(0);
  double sd = 0;                       ///< radians or metres, of the observation
  std::optional<double> standardised;  ///< absent where the redundancy is 0
  double redundancy = 0;
  /// Smallest error found with 80 % power at alpha 0.001: radians or metres; absent where the redundancy is
  /// 0.
  std::optional<double> least_found;
  Verdict verdict =
      Verdict::within;  ///< outside above 3.29, or named as wrong; unsure under a redundancy of 0.1
};

enum class WrongKind : std::uint8_t {
  circle,         ///< one direction
  distance,       ///< one distance
  target,         ///< direction and distance: another point was sighted, or its coordinates are wrong
  height,         ///< one height difference: a target height, an elevation
  all_distances,  ///< the same length in every distance: the reflector constant
  turned,         ///< every direction from this sight on: the instrument moved
  exchanged,      ///< two targets under each other's names, or three in a ring
  axes,           ///< northing and easting of all control, the one read as the other
  moved,          ///< a control point that several setups see at one other place
  moved_height,   ///< its elevation, likewise
  scale,          ///< every distance of a setup, in proportion
  mark,           ///< the instrument's own place in plan
  mark_height     ///< the instrument's height or its mark's elevation
};

/// What else there is to say whether the reading is wrong that a `Wrong` names or the mark that was sighted
/// has moved: a direction or a distance that is off by itself fits both.
enum class MarkWitness : std::uint8_t {
  none,
  height_moved,  ///< the height to it is off too, or is not off where a wrong slope distance would make it so
  height_reading,  ///< the height to it is off as a wrong slope distance makes it
  setup_moved,     ///< another setup sees it moved to the same place
  setup_stands     ///< another setup sees it where it should be, and would have seen such a move
};

/// What is wrong, as far as the sights can tell. Nothing is left out of the results because of it (but see
/// `left_out`).
struct Wrong {
  WrongKind kind = WrongKind::circle;
  std::size_t sight = 0;  ///< not for all_distances, mark, mark_height
  /// Exchanged: the others, where `sight` is in truth the first of them, that the next, and the last `sight`.
  std::size_t other_sight = 0;
  std::optional<std::size_t> third_sight;
  /// How much too long, too high; `target`, `mark`: how far away in plan; `circle`: how far to the right the
  /// target would have moved, seen from the instrument.
  std::optional<Length> length;
  std::optional<Angle> angle;  ///< how much too far clockwise
  /// target, mark: where it is as the other sights see it; circle, distance: likewise, where both were read.
  std::optional<Point<Site>> seen_at;
  MarkWitness witness = MarkWitness::none;   ///< circle, distance, target
  std::optional<std::size_t> witness_setup;  ///< setup_*: its index in the job
  std::optional<Length> raised;              ///< height_moved: how much too high the target was seen
  double strength = 0;                       ///< square root of the square sum that it explains
  /// In a net: whose sights are accused, and which point; absent where a setup is judged alone.
  std::optional<std::size_t> setup, point;
  std::vector<std::size_t> seen_by;                      ///< moved, moved_height: setups that sight it
  std::optional<PlanCovariance<Site>> shift_covariance;  ///< moved: of its shift
  std::optional<double> ppm;                             ///< scale: how much too long
  bool certain = true;                                   ///< false where `others` explain as much
  std::vector<Wrong> others;
};

enum class SetupFactKind : std::uint8_t {
  no_check,       ///< redundancy 0: nothing checks the setup
  narrow,         ///< `value` = arc in degrees that holds all targets, under 30
  in_line,        ///< two targets over 150 degrees apart: `value` = degrees
  danger_circle,  ///< directions alone, near the circle through the targets: `value` = distance over radius
  no_circle,      ///< distances alone: a place without an orientation
  weak,           ///< `value` = 95 % radius of the station in metres, over the position tolerance
  orientation_differs,  ///< a stated orientation that the sights contradict: `value` = degrees
  misfit_high,          ///< global test: `value` = variance factor, too high at 95 %
  misfit_low            ///< `value` = variance factor, too low: the stated sds are pessimistic
};
struct SetupFact {
  SetupFactKind kind;
  double value = 0;
};

/// Control without an sd, which an adjustment takes as exact.
struct HeldControl {
  std::size_t points = 0;  ///< the mark stood on too
  /// Covariance of northing, easting (m), orientation (rad) that 1 mm (sd) in each of their coordinates would
  /// add to that of the setup.
  std::array<std::array<double, 3>, 3> covariance{};
};

/// What a setup has of a net: sums over its own sights.
struct NetShare {
  double plan = 0, height = 0;            ///< redundancies
  std::optional<double> variance_factor;  ///< of the whole net
};

struct SetupResult {
  SetupStatus status = SetupStatus::too_few;
  Point<Site> at{{.northing = Length::metres(0), .easting = Length::metres(0)}};
  std::optional<Angle> orientation;                   ///< azimuth = circle + orientation, in [0, 360)
  std::array<std::array<double, 3>, 3> covariance{};  ///< northing, easting (m), orientation (rad)
  std::optional<Elevation> elevation;                 ///< of the ground mark
  std::optional<Length> elevation_sd;
  Length instrument_height = Length::metres(0);
  /// Of the instrument's axis, where it was adjusted; else it is the mark and the height above it.
  std::optional<Elevation> adjusted_axis;
  std::optional<Length> axis_sd;
  std::optional<NetShare> share;          ///< of a setup that was adjusted in a net
  std::vector<SightRow> rows;             ///< in the order of the sights; circle, distance, height
  std::size_t degrees_of_freedom = 0;     ///< of the plan
  std::optional<double> variance_factor;  ///< of the plan
  std::size_t height_degrees_of_freedom = 0;
  std::optional<double> height_variance_factor;
  std::vector<Point<Site>> places;  ///< two_places: the positions that fit
  std::vector<Wrong> wrong;         ///< the strongest first
  /// Sight that had to be left out of the plan, since with it there is no position at all; it stands in
  /// `wrong` too.
  std::optional<std::size_t> left_out;
  std::vector<SetupFact> facts;
  std::optional<HeldControl> held;  ///< absent where all control states an sd
  Verdict verdict =
      Verdict::unsure;  ///< outside if a sight is, unsure if nothing checks the plan, else within
  PlanCovariance<Site> plan_covariance() const {
    return {covariance[0][0], covariance[0][1], covariance[1][1]};
  }
  Length sd_northing() const;
  Length sd_easting() const;
  std::optional<Angle> sd_orientation() const;
  std::optional<Elevation> axis() const;  ///< elevation of the instrument's axis
  Length sd_axis() const { return axis_sd ? *axis_sd : elevation_sd.value_or(Length::metres(0)); }
};

/// Adjusts a setup.
///
/// Frames    sights: station; control and result: Site.
/// Weights   sd^2 (circle) = its own^2 + (target_sd/HD)^2; sd^2 (HD) = (distance_sd + ppm HD)^2 +
/// target_sd^2;
///           sd^2 (height) = (S sin z sd_z)^2 + (cos z sd_S)^2 + 2 height_sd^2. A mark stood on:
///           centring_sd^2 + its own^2; its elevation: height_sd^2 + its own^2. Control with an sd is an
///           observation too.
/// Method    Gauss-Newton about the centroid; start from the distances, or from a net of places where there
/// are fewer
///           than two. Elevation is a linear adjustment of its own.
/// Result    status; data never makes it throw.
/// Wrong     looked for when a standardised residual exceeds 3.29 (alpha 0.001): single observations, a
/// target, a
///           constant in all distances, a turned instrument, the mark, two names exchanged, northing and
///           easting of all control exchanged; the account that leaves the smallest square sum, charged 10.83
///           for every unknown that it brings, is named.
/// Distances alone: a place and no orientation, but the stated one; two of them meet at two places.
/// REQUIRES  angle_sd and distance_sd in the options, above zero; `mark` unless free.
/// Source    least squares with redundancies and data snooping (Baarda 1968); from memory.
/// CAVEAT    two targets and distances have redundancy 1: an error is seen but cannot be placed.
[[nodiscard]] SetupResult adjust_setup(const SetupInput& input, const SetupOptions& options);
/// As `adjust_setup`, but that small errors of the plan are not looked for: the net that the setup is part of
/// names them better. What is grave is still found, names and axes that were exchanged.
[[nodiscard]] SetupResult adjust_setup_of_net(const SetupInput& input, const SetupOptions& options);

/// The notation in which all angles of a setup were keyed, where with it the sights agree and as they were
/// read they do not; absent else. Asked for a setup that is not solved or of which something is named wrong.
///
/// Method    the numbers as typed are read in each other notation, reduced and adjusted again; what is left
/// has
///           to be sound, with observations to spare.
[[nodiscard]] std::optional<AngleNotation> angles_meant(std::span<const Reading> readings,
                                                        const SetupInput& input, const SetupOptions& options,
                                                        AngleNotation read_as);

/// Radius that holds 95 % of a plan position. Source: Leenhouts 1985, polynomial in the ratio of the
/// semi-axes; from memory, within 0.2 % of the integral (tests/unit/station).
Length radius95(const PlanCovariance<Site>& c);
/// Covariance of a point at this azimuth and distance: the setup's carried through, and the point's own sds
/// along and across the sight.
PlanCovariance<Site> point_covariance(const SetupResult& setup, Azimuth azimuth, Length horizontal,
                                      Length along, Length across);

/// A point taken from a setup.
struct SideShot {
  std::size_t sight = 0;
  Point<Site> at;
  PlanCovariance<Site> covariance;
  std::optional<Elevation> elevation;
  std::optional<Length> elevation_sd;
};
/// Absent without orientation, circle or distance.
[[nodiscard]] std::optional<SideShot> side_shot(const SetupResult& setup, const Sight& sight,
                                                std::size_t index, const InstrumentOptions& instrument);

/// A point sighted by circle alone from two setups: where the two directions meet. `sight` is that of the
/// first. Absent where the directions are nearly parallel (under 1 degree) or meet behind an instrument.
[[nodiscard]] std::optional<SideShot> intersect(const SetupResult& first, const Sight& from_first,
                                                std::size_t index, const SetupResult& second,
                                                const Sight& from_second);

/// How far in plan a sight misses a point, as seen from the setup; without a distance, across the sight
/// alone, without a circle or an orientation along it alone. REQUIRES one of the two.
[[nodiscard]] Length miss_of(const SetupResult& setup, const Sight& sight, const Point<Site>& point);

/// A sight to a point whose place is known but that took no part in the setup (a numbered point): rows with
/// residuals observed minus computed, standardised by the setup's covariance and the sight's own. `verdict`
/// is that of the whole sight: its distance in plan from the point against the tolerance.
[[nodiscard]] std::vector<SightRow> check_sight(const SetupResult& setup, const Sight& sight,
                                                std::size_t index, const ControlMark& point, Length tolerance,
                                                const InstrumentOptions& instrument);

/// A setup of a job with what it sighted, for `hear_other_setups`.
struct SetupInJob {
  SetupResult* result = nullptr;  ///< null where it was not computed
  std::span<const Sight> sights;
  std::span<const std::optional<std::size_t>> control;  ///< by target: one numbering for the whole job
};
/// Lets setups that sighted the same control say whether it moved: sets `witness` of what they name wrong.
void hear_other_setups(std::span<const SetupInJob> setups, std::span<const ControlMark> control,
                       const InstrumentOptions& instrument);

/// Which control mark lies where a side shot, or a sight named as wrong, fell: the nearest within three sds
/// and 10 mm. A control name that was mistyped becomes a side shot; this finds it.
std::optional<std::size_t> control_at(const SideShot& shot, std::span<const ControlMark> control);

/// A sight that is planned, not taken.
struct PlannedSight {
  Point<Site> target;
  std::optional<Length> target_control_sd = std::nullopt;  ///< of the control mark
  bool distance = true;
  bool both_faces = true;
  std::size_t rounds = 1;
};
/// Covariance (northing, easting in m, orientation in rad) and redundancy that planned sights would give.
struct PlannedSetup {
  bool fixed = false;  ///< false: something stays open
  std::array<std::array<double, 3>, 3> covariance{};
  std::size_t degrees_of_freedom = 0;
  std::vector<SetupFact> facts;
};
/// A planned setup as one that stands there, turned to north, so that points can be staked from it.
/// `elevation`: of its ground mark, exact as far as a plan can say.
[[nodiscard]] SetupResult as_setup(const PlannedSetup& planned, const Point<Site>& spot,
                                   std::optional<Elevation> elevation, Length instrument_height);
/// Predicted quality of a setup at a spot, before anything is observed. `mark_sd` is that of the control mark
/// stood on (0: fixed); absent for a free station.
[[nodiscard]] PlannedSetup plan_setup(const Point<Site>& spot, std::optional<Length> mark_sd,
                                      std::span<const PlannedSight> sights, const SetupOptions& options);

}  // namespace deckmark
