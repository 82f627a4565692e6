#pragma once
/// A job of staff and laser readings as a crew keeps it, and the files of it for the real program.

#include <cstddef>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "command/job_folder.h"

namespace deckmark_test {

/// Of the site: how lengths are written there, and what the lists are in.
struct SiteUnit {
  const char* word;  ///< of [site] unit
  const char* list;  ///< of the headers of what is written
  double metres;     ///< of one list unit
  double step;       ///< to which the crew reads, in list units
  int decimals = 0;  ///< of a bare number; feet-inches where it is 0
};
inline constexpr SiteUnit kMetres{"m", "m", 1, 0.00001, 5}, kFeet{"ft", "ft", 0.3048, 0.0001, 4},
    kFeetInches{"ft-in", "ft", 0.3048, 0.001 / 12, 0};

/// A length as it stands in a file, and exactly that many metres.
struct Stated {
  double metres = 0;
  std::string cell;  ///< quoted where it has to be
};
Stated stated(double metres, const SiteUnit& unit);

/// What is read: a benchmark, a drawing point at a level, or a free name.
struct StaffTarget {
  std::string point;   ///< as heights.csv names it
  std::string number;  ///< as heights.csv has it: deck numbers of level deck; empty of benchmarks, free names
  std::string level;   ///< floor, deck, bracket; else empty
  std::vector<std::pair<std::string, std::string>> names;  ///< target and level, as the crew may write it
  double elevation = 0;                                    ///< the truth, m
};

struct StaffBenchmark {
  std::size_t target = 0;
  Stated elevation;
  std::optional<Stated> sd;
};

/// A row of the level table or of the laser's.
struct StaffReading {
  std::size_t standing = 0;  ///< index of the set-up, or of the laser's standing
  std::size_t target = 0;
  Stated reading;
  bool back = false;   ///< of a level
  bool above = false;  ///< of a laser: the target lies above the beam
  std::optional<Stated> distance;
  std::string housing;      ///< of a laser: 0, 180 or empty
  std::size_t written = 0;  ///< index of the target's `names`
};

/// One set-up of a line: indices of its back and of the fore that goes on or closes.
struct LineStep {
  std::size_t back = 0, fore = 0;
};
struct LevelLine {
  std::vector<LineStep> steps;
  bool closed = false;
};

struct PlanPoint {
  std::string name;
  double x = 0, y = 0;  ///< m
};

struct StaffJob {
  SiteUnit unit = kMetres;
  std::vector<PlanPoint> points;  ///< numbered from 1001
  Stated floor;
  std::optional<Stated> datum;
  std::vector<StaffTarget> targets;
  std::vector<StaffBenchmark> benchmarks;
  std::vector<std::string> setups, lasers;
  std::vector<StaffReading> level, laser;
  std::vector<LevelLine> lines;
  std::optional<double> reading_sd;     ///< m; stated
  double beam_sd = 0;                   ///< m per m
  std::string beam_key;                 ///< the whole line of the job file
  std::optional<double> loop_limit;     ///< m; stated
  bool level_column[2] = {true, true};  ///< of the level table, of the laser's

  double used_reading_sd() const { return reading_sd.value_or(0.001); }
  std::size_t add_benchmark(const std::string& name, double elevation, std::optional<double> sd = {});
  std::size_t add_free(const std::string& name, double elevation);
  /// The point by index at floor, deck or bracket.
  std::size_t add_point(std::size_t point, const std::string& at, double elevation);
  void add_level(std::size_t setup, std::size_t target, bool back, double reading,
                 std::optional<double> distance = {});
  void add_laser(std::size_t standing, std::size_t target, bool above, double reading, double distance,
                 const std::string& housing = "");
  const StaffBenchmark* benchmark(std::size_t target) const;
};

/// What a test adds to the job file: keys that stand in sections of the job itself, then further sections.
struct MoreOfStaffJob {
  std::string drawing, floor, sections;
  std::string drawing_columns;             ///< of drawing.csv behind x and y, with the comma before it
  std::vector<std::string> drawing_cells;  ///< by point, likewise
};
void write_staff_job(JobFolder& folder, const StaffJob& job, const MoreOfStaffJob& more = {});

}  // namespace deckmark_test
