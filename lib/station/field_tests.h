#pragma once
/// Checks of an instrument that a crew can do in twenty minutes: what its readings scatter by, and whether
/// anything systematic stands out. They say nothing about conformity with a standard.
///
/// Degrees of freedom come from the rank of the equations, so that a crew may drop a reading. Questions are
/// asked at 95 %. Source of the schemes: ISO 17123-1 to -7, from memory; critical values from
/// adjust/statistics.h.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "measure/angle.h"
#include "measure/length.h"

namespace deckmark {

/// Which check a table of readings is for.
enum class FieldTest : std::uint8_t {
  directions,
  zeniths,
  line,
  levelling,
  rotating_laser,
  plumbing,
  turned_marks,
  cross_line
};

/// What the scatter is held against: of an angle, or of a length. DEFAULT nothing, then nothing is asked of
/// it.
struct FieldTestOptions {
  std::optional<Angle> angle_sd;
  std::optional<Length> length_sd;
};

/// What a value of a field test counts.
enum class FieldUnit : std::uint8_t { seconds, millimetres, millimetres_per_metre };

enum class FieldParameter : std::uint8_t {
  index,        ///< of the zenith circle, seconds
  zero_point,   ///< to be added to every distance, mm
  sight_line,   ///< a level's line of sight rises, mm a metre
  cone,         ///< the laser's beam is not square to its axis, mm a metre
  tilt,         ///< of the laser's axis in its housing, mm a metre: length of both components
  tilt_along,   ///< where the readings tell one component alone: towards the mark on the housing
  tilt_across,  ///< and a quarter turn on, clockwise
  line_x,
  line_y,      ///< the plumb line leans, along x and y of the housing, mm at the height of the target
  right_angle  ///< what the two lines enclose more than 90 degrees, seconds
};

enum class FieldQuestionKind : std::uint8_t {
  precision,   ///< is s no worse than the stated sd?
  systematic,  ///< is the parameter no other than zero?
  same,        ///< do two samples scatter alike?
  axes_alike   ///< plumbing: do x and y scatter alike?
};

/// One question with its statistic and limits. Yes where it lies within them.
struct FieldQuestion {
  FieldQuestionKind kind = FieldQuestionKind::precision;
  std::optional<FieldParameter> parameter;
  double statistic = 0, upper = 0;
  std::optional<double> lower;  ///< ratios of variances have two limits
  FieldUnit unit = FieldUnit::seconds;
  bool is_ratio = false;               ///< statistic and limits are ratios without a unit
  std::size_t degrees_of_freedom = 0;  ///< those of the limits; of the first sample, where there are two
  bool yes = false;
};
/// The question and its answer as one sentence, with the numbers.
std::string in_words(const FieldQuestion& question);

struct FieldValue {
  FieldParameter parameter;
  double value = 0;
  std::optional<double> sd;                   ///< absent where nothing checks the value
  std::size_t degrees_of_freedom = 0;         ///< of the sd; 0 where that comes from the stated one
  std::optional<double> over = std::nullopt;  ///< sight_line, right_angle: the farthest reading, m
};

struct FieldResult {
  /// False: no reading is left over to tell the scatter. `values` then hold what the readings tell all the
  /// same.
  bool solved = false;
  /// Readings are left over, but all say the same to the last place read: that is no scatter of 0.
  bool alike = false;
  FieldUnit unit = FieldUnit::seconds;
  double s = 0;  ///< experimental sd of what `per` says
  std::size_t readings = 0, degrees_of_freedom = 0;
  std::vector<FieldValue> values;
  std::vector<double> residuals;  ///< in `unit`, in the order of the readings
  std::vector<FieldQuestion> questions;
  std::vector<FieldParameter> left_out;  ///< what these readings cannot tell
};

/// A target read in both faces.
struct FacePair {
  std::size_t series = 0, set = 0, target = 0;
  Angle face1 = Angle::degrees(0), face2 = Angle::degrees(0);
};
/// Horizontal directions, face 2 about 180 degrees on; the circle may be turned between sets. s is that of
/// one direction in both faces. `stated` is the sd to hold it against.
[[nodiscard]] FieldResult test_directions(std::span<const FacePair> pairs, std::optional<Angle> stated);
/// Zenith angles; s of one zenith angle in both faces, and the index error. One set alone tells the index, by
/// how its targets agree on it, and no s.
[[nodiscard]] FieldResult test_zeniths(std::span<const FacePair> pairs, std::optional<Angle> stated);

/// A distance between two points of one line, numbered along it.
struct LineDistance {
  std::size_t from = 0, to = 0;
  Length measured = Length::metres(0);
};
/// Distances on a line in many combinations: s of one distance, and the zero point (added to every reading).
/// Three points read once each tell the zero point alone: AC - (AB + BC).
[[nodiscard]] FieldResult test_line(std::span<const LineDistance> distances, std::optional<Length> stated);

/// A staff read by a level.
struct StaffReading {
  std::size_t setup = 0, staff = 0;
  Length reading = Length::metres(0), distance = Length::metres(0);
};
/// Two-peg test: reading = height of the set-up's axis - height of the staff's foot + distance slope. The
/// slope is told where sights of one set-up differ in length and another set-up reads the same staffs
/// otherwise; s of one reading.
///
/// Source    two-peg test, common textbook: (near - far) of one set-up less that of the other, over what
/// their
///           distances differ by; from memory.
/// CAVEAT    curvature and refraction, together under 0.07 mm at 30 m, are left out.
[[nodiscard]] FieldResult test_levelling(std::span<const StaffReading> readings,
                                         std::optional<Length> stated);

/// A staff read to the beam of a rotating laser.
struct BeamReading {
  std::size_t set = 0, target = 0;
  Length reading = Length::metres(0), distance = Length::metres(0);
  Angle direction = Angle::degrees(0);  ///< of the staff, from a mark on the housing
};
/// reading = beam height of the set - height of the target + distance (cone + tilt1 cos + tilt2 sin).
/// `heights` are the targets' known heights by number, or empty: then they are unknowns. s of one reading. Of
/// cone and tilt what the readings determine is told, the rest is left out.
[[nodiscard]] FieldResult test_rotating_laser(std::span<const BeamReading> readings,
                                              std::span<const Length> heights, std::optional<Length> stated);

/// A set of four readings of a plumbing instrument at a target grid: two positions half a turn apart along x,
/// the pair turned a quarter along y.
struct PlumbSet {
  std::size_t series = 0;
  Length x1, x2, y1, y2;
};
/// s of one component of a plumbed point in both positions, whether x and y scatter alike, and how the line
/// leans. One set alone tells the lean.
[[nodiscard]] FieldResult test_plumbing(std::span<const PlumbSet> sets, std::optional<Length> stated);

/// A mark made by a plumbing instrument with its housing turned; repeated sets at the same place.
struct TurnedMark {
  std::size_t set = 0;
  Angle turn = Angle::degrees(0);
  Length x, y;
};
/// One turn or several: s of one component of a mark; from two turns on, how the line leans in the housing.
[[nodiscard]] FieldResult test_turned_marks(std::span<const TurnedMark> marks, std::optional<Length> stated);

/// A cross-line laser from two standings. Over A, one line through B: C is marked on the other line. Over B,
/// that other line through A: D is marked on the first line, as far from B as C from A. The same two beams
/// enclose both corners.
struct CrossLineSet {
  Length ab, cd;  ///< taped
  Length ac;      ///< how far C and D stand from A and B; to a centimetre or so
};
/// A right angle that is too wide by e puts C and D both away from each other: CD = AB + 2 AC sin e. s of one
/// taped length with its marks; e in seconds. One set alone, or sets that all read
/// alike, tell e with the sd that the stated one gives.
///
/// Source    common practice, no source: an angle laid off from both ends of a line shows its error twice.
/// CAVEAT    AC and BD unlike by d make CD longer by d^2 / 2AB: 0.01 mm for 10 mm on 5 m, 1 mm for 0.1 m.
[[nodiscard]] FieldResult test_cross_line(std::span<const CrossLineSet> sets, std::optional<Length> stated);

/// Do two samples of one test scatter alike?
[[nodiscard]] FieldQuestion same_scatter(const FieldResult& first, const FieldResult& second);

}  // namespace deckmark
