#pragma once
/// Heights by level and laser: names into targets, one adjustment, and the heights that other stages use.

#include <cstddef>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "heights/heights.h"
#include "job/heights_job.h"
#include "stages/net.h"
#include "stages/staged.h"

namespace deckmark {

/// What a job says of heights.
struct HeightsStated {
  const HeightsJob& heights;
  std::optional<Elevation> floor;
  std::optional<Length> datum;  ///< the datum line over the floor
  LengthUnit site_unit = LengthUnit::metre, drawing_unit = LengthUnit::metre;

  /// In which small lengths are told.
  LengthUnit words_unit() const;
  std::optional<Elevation> datum_line() const {
    if (!datum) return std::nullopt;
    return floor.value_or(Elevation::metres(0)) + *datum;
  }
};

/// What a staff was read on.
struct HeightTarget {
  std::string name;  ///< of a mark its name on the drawing, else as its first row has it
  std::optional<std::uint32_t> mark;
  std::optional<AsbuiltLevel> level;        ///< of a mark
  std::optional<std::size_t> benchmark;     ///< by its place in the table
  std::vector<std::size_t> setups, lasers;  ///< that read it, each once
  Where at;                                 ///< its first row
};

/// A height that was measured at a mark.
struct MeasuredHeight {
  std::uint32_t mark = 0;
  std::size_t target = 0;
  Elevation elevation;
  Length sd;
};

struct HeightsFound {
  std::vector<HeightTarget> targets;        ///< in the order in which they were first read, the level first
  std::vector<std::string> setups, lasers;  ///< likewise
  HeightReadings readings;
  HeightsResult result;
  std::map<std::pair<std::uint32_t, AsbuiltLevel>, std::size_t> of_mark;  ///< targets of marks

  /// Of a mark at a level; nothing where none was read.
  std::optional<MeasuredHeight> at(std::uint32_t mark, AsbuiltLevel level) const;
  /// Of all marks that were read at a level, in the order of the targets.
  std::vector<MeasuredHeight> of(AsbuiltLevel level) const;
  /// A line or a plane that closes outside its limit, or a reading that the others contradict.
  bool is_outside() const;
  /// Whether any reading, or any height, is checked by another.
  bool is_checked() const { return result.spare > 0; }
  /// What is wrong, less what a line or a laser that does not close says already: others would explain it as
  /// well, and such a closure holds it.
  std::vector<WrongHeight> wrong_to_tell() const;
};

/// Absent without readings. Problems: targets of two meanings, levels that a number contradicts, targets that
/// nothing ties to a benchmark. Doubts: what closes outside, what contradicts the rest and what would explain
/// it, housings that differ by more than the beam allows, set-ups without a back or a fore, benchmarks that
/// nobody read, names that are numbers of nothing. `marks`: without them only benchmarks
/// and free names are known.
[[nodiscard]] Staged<HeightsFound> find_heights(const HeightsStated& stated, const NamedMarks& marks);

}  // namespace deckmark
