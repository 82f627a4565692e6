#pragma once
/// Where runs cross, where one ends on another and where they meet in corners.

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "hanger/hanger_options.h"
#include "measure/angle.h"
#include "plane/path.h"

namespace deckmark {

/// Ends within this of another run meet it; runs further apart in height do not. A millimetre, and a hair
/// more, so that what is keyed at just that is within it.
inline constexpr Length kRunJoin = Length::metres(0.001 + 1e-9);

/// A run with what is stated of how it meets others.
struct RunCourse {
  Path path;
  std::optional<Length> height{};           ///< of its brackets; DEFAULT that of every other run
  std::optional<RunEnd> start{}, finish{};  ///< DEFAULT joined where they meet a run, else free
  std::vector<std::size_t> cut_by{};        ///< runs that go through where they cross this one
};

struct Crossing {
  std::size_t first, second;  ///< runs, first below second
  Point<Drawing> at;
  Length along_first, along_second;
  /// Corner: between the runs as they leave it, from 0 to 180 degrees. Else the acute angle between their
  /// directions.
  Angle angle;
  /// Half the angle, where both runs end there.
  std::optional<Angle> mitre;
  /// The end that lies there: of both runs at a corner, of one where it ends on the other.
  std::optional<AtEnd> first_end, second_end;
  /// The run that goes through; none at a corner.
  std::optional<std::size_t> through;
  /// More than two ends meet there: members end square to their runs.
  bool is_crowded = false;

  bool is_corner() const { return first_end && second_end; }
  /// One run ends on the other.
  bool is_tee() const { return first_end.has_value() != second_end.has_value(); }
  std::size_t cut() const { return *through == first ? second : first; }
};

struct RunEnds {
  RunEnd start = RunEnd::free, finish = RunEnd::free;
};

struct CrossingsResult {
  std::vector<Crossing> places;                               ///< by first run, second run, along the first
  std::vector<std::pair<std::size_t, std::size_t>> overlaps;  ///< runs that lie on one another
  std::vector<RunEnds> ends;                                  ///< of every run; of a ring without meaning
  std::vector<std::pair<std::size_t, AtEnd>> unmet;           ///< stated joined, where no run is: free
  std::vector<std::size_t> crowded;                           ///< one of the places where over two ends meet
};
/// Meetings of runs at one height. An end that is stated free or wall joins nothing, nor does what meets it
/// there. Where two runs end on a third in one place, both end on that.
CrossingsResult find_crossings(std::span<const RunCourse> runs);

/// Whether two runs hang at one height.
bool are_level(const RunCourse& a, const RunCourse& b);
/// The angle between two ways, 0 to 180 degrees.
Angle angle_between(const Vec<Drawing>& a, const Vec<Drawing>& b);
/// The way in which a run leaves its end.
Vec<Drawing> leaving(const Path& run, AtEnd end);

}  // namespace deckmark
