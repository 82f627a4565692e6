#pragma once
/// Why many marks are off in the same way: likely systematic causes, by name. Data are never corrected.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "asbuilt/options.h"
#include "measure/frame.h"

namespace deckmark {

enum class CauseKind : std::uint8_t {
  shift,               ///< all by one vector
  rotation,            ///< turned about a point that is no station
  scale,               ///< stretched about a point
  survey_foot,         ///< one of the two sets of coordinates is in the other foot
  swapped_axes,        ///< northing and easting, or x and y, exchanged
  mirrored,            ///< seen from the other side
  reflector_constant,  ///< the same length in every distance from a setup
  backsight,           ///< turned about the setup: its orientation
  height,              ///< the same difference in every elevation: a target or instrument height
  bump,                ///< from one shot on, the setup stands elsewhere
  one_bay,             ///< by a bay or a baseline's offset along a baseline
  renumbered,          ///< names of points exchanged or shifted
  wavy_run,            ///< the marks of one run wander to both sides
  digits,              ///< two neighbouring digits of one coordinate exchanged
  one_point            ///< one mark alone
};
/// `shift`, `reflector-constant`, ...
std::string_view cause_word(CauseKind kind);

/// Which shots a cause was looked for in. `marks`: a set that no column names, found by what they share.
enum class GroupKind : std::uint8_t { all, level, setup, marked_from, reflector, crew, run, stretch, marks };

/// A group by name: `word` is the number of its word in that column (level: of the level). A stretch is the
/// part of `within` from its first to its last shot in the order of time; a bump has its first shot there
/// too. `level`: of a column's group only the shots on this level, which are not all of it.
struct GroupRef {
  GroupKind kind = GroupKind::all;
  std::uint32_t word = 0;
  GroupKind within = GroupKind::all;
  std::size_t first = 0, last = 0;
  std::optional<AsbuiltLevel> level = std::nullopt;

  bool is_same_group(const GroupRef& other) const {
    return kind == other.kind && word == other.word && level == other.level;
  }
};

/// Where an instrument stood. `axis`: elevation of its axis, where known.
struct KnownStation {
  Point<Site> at;
  std::optional<Elevation> axis = std::nullopt;
};

/// One shot with its mark. Words are numbered from 1 a column; 0: not stated.
struct CauseShot {
  std::uint32_t mark = 0;
  Point<Site> design, at;
  std::optional<Elevation> elevation = std::nullopt;  ///< as shot
  std::optional<Length> up = std::nullopt;            ///< as built minus design
  AsbuiltLevel level = AsbuiltLevel::floor;
  Length sd = Length::millimetres(2);  ///< per axis; only its ratio to the others counts
  std::uint32_t setup = 0, marked_from = 0, reflector = 0, crew = 0;
  std::optional<std::int64_t> time =
      std::nullopt;       ///< where every shot has one they order the shots, else the table does
  std::uint32_t run = 0;  ///< word of the drawing's run; along it marks stand in the order of their indices
};

struct CausesInput {
  std::span<const CauseShot> shots;
  std::span<const std::optional<KnownStation>> setups;          ///< by word of `setup`
  std::span<const std::optional<KnownStation>> marking_setups;  ///< by word of `marked_from`
  std::span<const Point<Site>> marks;                           ///< every mark's design, by index
  Point<Site> origin;                                           ///< X = Y = 0
  Azimuth azimuth_x = Azimuth::degrees(90);                     ///< of +X
  bool mirrored = false;                                        ///< +Y to the right of +X
  std::span<const Length> bays = {};                            ///< bays and offsets of the job, above zero
  LengthUnit typed_unit = LengthUnit::metre;                    ///< in which coordinates were typed
  std::span<const Point<Drawing>> typed = {};  ///< where shots were typed along the baselines: one a shot
  bool by_nearest = false;                     ///< matched by nearness: names say nothing
};

struct Cause {
  CauseKind kind = CauseKind::shift;
  GroupRef group;
  std::vector<GroupRef> also;  ///< other groups that hold exactly the same shots
  /// Metres (shift, reflector_constant, height, bump, one_bay, wavy_run, digits, one_point), degrees
  /// clockwise (rotation, backsight), ppm (scale, survey_foot), 1 (swapped_axes, mirrored), points
  /// (renumbered). A reflector constant is what distances read too long, a backsight how far readings are
  /// turned clockwise, whether the setup shot or marked. A bump is how far the instrument moved, where its
  /// place is known; a wavy run the largest distance of one of its marks.
  double value = 0;
  double sd = 0;  ///< of the value, from the scatter that is left; 0 where nothing was fitted
  std::vector<std::size_t> shots;     ///< that it touches, in order
  std::size_t points = 0;             ///< marks that it touches
  std::optional<AsbuiltLevel> level;  ///< of all touched shots; absent where they differ
  Length before = Length::metres(0),
         after = Length::metres(0);  ///< rms of one coordinate over the touched shots
  double chance = 0;                 ///< of a fall as large without a cause, times the number tried
  /// How the marks stand off: shift, one_bay, bump (in their middle), one_point, digits.
  std::optional<Vec<Site>> by;
  std::optional<double> turned;       ///< degrees clockwise: of a bump that turned the marks as well
  std::optional<Point<Site>> centre;  ///< of a rotation or stretch
  bool in_elevation = false;          ///< height, and a point that is off in elevation
};

struct CausesResult {
  std::vector<Cause> causes;  ///< those that touch many marks by what they explain, then single marks by size
  std::size_t tried = 0;      ///< explanations that were weighed in the first round
  Length noise =
      Length::metres(0);  ///< rms of one coordinate that is left, over all shots but single wrong ones
  bool in_order_of_time = false;  ///< all shots have a time
};

/// How many times too large a cause says that the numbers of its shots are, where that is no ppm of an
/// instrument but another unit: from twice, or to half. Absent else.
std::optional<double> unit_slip(const Cause& cause);

/// Names the causes that explain the misfit far better than chance.
///
/// Frames    Site throughout.
/// Method    every model is fitted to all shots and to each level, setup (that shot, that marked), reflector,
/// crew,
///           each of these on one level, run and stretch of time alone, and a shift to sets of marks that no
///           column names (`common_vector.h`): least absolute deviations first, then least squares without
///           what stands further than five times the scatter. Named is what passes the F test at 0.1 % with
///           all that were tried counted
///           (`adjust/hypothesis.h`) and brings the rms over the shots it touches to half; the best is taken
///           off and the rest looked at again. Among equals fewer parameters win, so that a known quantum (a
///           bay, the ratio of the feet) comes before a fitted value. Single marks last, against the scatter
///           of the others, where they share nothing: many of one run are one finding.
/// Models    setups without coordinates have no reflector constant and no backsight.
/// Errors    data never makes it throw. Fewer than two shots have no causes.
/// Source    models: common practice of surveying, no source; test: `adjust/hypothesis.h`.
///           Shots in another unit are the only cause named: what else is off stands in that unit too.
/// CAVEAT    an error that mark and shot share cannot show. Long tables (over 4,000 shots) are searched by a
/// sample; the
///           value is then fitted to all.
[[nodiscard]] CausesResult find_causes(const CausesInput& input);

}  // namespace deckmark
