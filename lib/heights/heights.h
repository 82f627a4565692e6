#pragma once
/// Heights by level and laser: all readings in one adjustment, what lines and planes close to, and which slip
/// of the pen would explain a closure. Pure functions on typed values; names live elsewhere, by index.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

#include "measure/angle.h"
#include "measure/frame.h"
#include "measure/length.h"

namespace deckmark {

/// A reading of a staff through a level.
struct LevelReading {
  std::size_t setup = 0;  ///< of the level, numbered in the order in which the set-ups were first read from
  std::size_t target = 0;
  bool is_back = false;            ///< else fore
  Length reading;                  ///< of a staff held upside down below zero
  std::optional<Length> distance;  ///< from the level to the staff
};

enum class Housing : std::uint8_t { straight, turned };

/// A reading from a laser's plane to a target.
struct LaserReading {
  std::size_t laser = 0;  ///< one standing
  std::size_t target = 0;
  Length reading;
  bool is_above = false;  ///< the target lies above the plane
  Length distance;        ///< from the laser
  std::optional<Housing> housing;
};

/// A target whose height is stated.
struct Benchmark {
  std::size_t target = 0;
  Elevation elevation;
  std::optional<Length> sd;  ///< DEFAULT it is held
};

struct HeightOptions {
  Length reading_sd = Length::millimetres(1);
  Angle beam_sd = Angle::degrees(0);  ///< of a laser's plane, over any distance
  std::optional<Length> loop_limit;   ///< DEFAULT by set-ups or length, see `HeightLine`
  /// The job's staff; a set-up read in the other unit is a slip, see `HeightSlip`.
  bool staff_in_feet = false;
};

struct HeightReadings {
  std::size_t targets = 0, setups = 0, lasers = 0;
  std::vector<LevelReading> level;  ///< in the order read
  std::vector<LaserReading> laser;
  std::vector<Benchmark> benchmarks;  ///< each target once at most
};

struct TargetHeight {
  std::optional<Elevation> elevation;  ///< nothing where no reading ties it to a benchmark
  Length sd = Length::metres(0);       ///< a priori, from the stated sds; 0 of a benchmark that is held
  /// Without what is contradicted (readings and benchmarks that are wrong or alike, closures and pairs of
  /// housings outside) it would not be tied, or lie further off than 1.96 sds.
  bool is_contradicted = false;
};

/// A line of level: a fore that a later set-up reads back goes on; it closes on its first target or on a
/// benchmark. A further back of a set-up, on a benchmark or on where the line began, closes it too, against
/// the back by which the line came in. A line from a target without a height goes on over benchmarks. What
/// nothing closes and nothing takes on ends open at the last fore of its last set-up. Of two ways from one
/// start to one turning point the later goes on; residuals check the other.
struct HeightLine {
  struct Leg {
    /// By their places in `HeightReadings::level`; `fore` may be a further back.
    std::size_t back = 0, fore = 0;
  };
  std::vector<Leg> legs;         ///< one a set-up that the line goes through; never empty
  std::size_t from = 0, to = 0;  ///< targets; the same where it closes on itself
  /// Sum of backs less sum of fores, less what the benchmarks at its ends say: above zero where the line ends
  /// too high. Nothing where it is open: it ends on a target that is not known.
  std::optional<Length> closure;
  std::optional<Length> length;  ///< all distances of its backs and fores; nothing where one is not known
  /// The job's, else 3 mm up to four set-ups; beyond, 12 mm times the root of the length in km but at least
  /// 3 mm, without all distances 3 mm times the root of set-ups / 4 (common practice, no source).
  Length limit = Length::millimetres(3);
  bool is_within() const { return !closure || abs(*closure) <= limit; }
};

/// Two readings of one standing that say the same height twice: of two benchmarks, or of one target.
/// Limit: the job's, else 3 mm, or 2.5 sds of their difference where that is more: far from a laser 3 mm is
/// less than its papers allow (ours).
struct PlaneClosure {
  std::size_t first = 0, second = 0;  ///< by their places in `HeightReadings::laser`; second read later
  Length closure;                     ///< height of the plane by the second less that by the first
  Length limit = Length::millimetres(3);
  bool is_within() const { return abs(closure) <= limit; }
};

/// What two housings of one target show.
struct HousingTilt {
  std::size_t straight = 0, turned = 0;  ///< by their places in `HeightReadings::laser`
  Angle tilt;  ///< half the difference over the distance; above zero where the plane is high at housing 0
  Length apart = Length::metres(0);  ///< height of the plane by the straight reading less that by the turned
  /// 3.29 sds of two readings and of twice the tilt that the beam allows there: one pair in a thousand.
  Length limit = Length::metres(0);
  bool is_within() const { return abs(apart) <= limit; }
};

/// A reading, or a benchmark, that the others contradict.
struct WrongHeight {
  enum class What : std::uint8_t { level, laser, benchmark };
  What what = What::level;
  std::size_t index = 0;  ///< in its list of `HeightReadings`
  Length error;  ///< as stated less what the others give, estimated; of a pair of housings, of their mean
  double standardised = 0;
  /// Others that would explain it as well or nearly: which of them is wrong cannot be told. A pair of
  /// housings is named by its first reading. Where the two agree, see `HousingTilt`, both are wrong or
  /// neither, and what else explains it nearly as well is named before them; where they do not, their
  /// difference speaks against the pair too, and the other reading is alike.
  std::vector<std::pair<What, std::size_t>> alike;
};

/// Slips of the pen: a reading so much off (a foot or an inch where the staff is in feet, else 100 mm, a
/// metre or a foot); back and fore of a set-up exchanged; a set-up read in feet in a job whose staff is in
/// metres, or in metres where it is in feet.
enum class HeightSlip : std::uint8_t { hundred_millimetres, metre, foot, inch, exchanged, read_in_feet };
/// A slip that explains a closure which is outside its limit, or a wrong reading. Of one closure at most
/// three are told, the best first; each would explain it alone.
struct SlipOfHeight {
  HeightSlip slip = HeightSlip::metre;
  std::optional<std::size_t> line;   ///< whose closure it explains
  std::optional<std::size_t> plane;  ///< likewise, of `planes`; where neither is given, a wrong reading
  bool is_laser = false;             ///< which readings `reading` counts
  /// The set-up that holds it, only where the readings single it out: no other slip anywhere explains all
  /// closures and readings as well.
  std::optional<std::size_t> setup;
  std::optional<std::size_t> reading;  ///< likewise
  std::vector<std::size_t> setups;     ///< all set-ups in which this slip would explain it, ascending
  Length left = Length::metres(0);     ///< of the closure, or of the error, with the slip put right
};

struct HeightsResult {
  std::vector<TargetHeight> targets;             ///< one a target
  std::vector<std::optional<Elevation>> setups;  ///< of the line of sight; nothing where not tied
  std::vector<std::optional<Elevation>> beams;   ///< of each standing's plane
  std::vector<bool> beam_is_contradicted;        ///< of each standing, see `TargetHeight`
  /// Reading less adjusted; of a pair of housings both have that of their mean. Where nothing ties them to a
  /// benchmark, of the readings among themselves.
  std::vector<Length> level_residuals, laser_residuals;
  /// 0 where nothing checks a reading, to 1; what would be rounding is 0.
  std::vector<double> level_redundancy, laser_redundancy;
  bool is_level_checked(std::size_t reading) const { return level_redundancy[reading] > 0; }
  bool is_laser_checked(std::size_t reading) const { return laser_redundancy[reading] > 0; }
  std::size_t spare = 0;  ///< readings more than needed
  std::optional<double> variance_factor;
  std::vector<HeightLine> lines;  ///< in the order in which they begin
  std::vector<PlaneClosure> planes;
  std::vector<HousingTilt> tilts;
  std::vector<WrongHeight> wrong;
  std::vector<SlipOfHeight> slips;
};

/// Heights of all targets.
///
/// Method    least squares, unknown every set-up's and standing's height and every target. Back and fore:
///           reading = set-up - target; laser: beam - target below, target - beam above. Sd of a level's
///           reading: `reading_sd`; of a laser's the root of reading_sd^2 + (distance beam_sd)^2; two
///           housings of one target from one standing: one observation, their mean, of sd reading_sd /
///           sqrt 2. A benchmark with an sd is observed. Curvature is not applied.
/// Result    data never make it throw; what no reading ties to a benchmark has no height.
/// Wrong     where a standardised residual is over the `wrong_limit` of as many as are checked: one at a
///           time, at most eight, each set aside before the next; of what is equal a benchmark first. A held
///           benchmark is tested as one observed with an ever smaller sd.
/// Cost      3,000 targets from 20 standings 4 ms; it grows with the cube of the fewer of the standings
///           and the targets that hang together: 600 set-ups in a line 0.1 s.
/// Accuracy  1e-9 m against normal equations on 1,000 random nets; a tree of readings is the sum by hand.
/// REQUIRES  finite numbers, sds above zero, indices within their counts.
[[nodiscard]] HeightsResult adjust_heights(const HeightReadings& readings, const HeightOptions& options);

}  // namespace deckmark
