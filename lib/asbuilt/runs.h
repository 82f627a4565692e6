#pragma once
/// What a crew sees before any coordinate: are the marks of a run evenly spaced, and in line?

#include <span>
#include <vector>

#include "asbuilt/compare.h"
#include "marks/marks.h"

namespace deckmark {

/// Two neighbours of a run, both shot at one level.
struct NeighbourSpace {
  std::size_t first = 0, second = 0;  ///< rows
  Length design, built;               ///< distance in plan, on site
};

/// The shots of one run at one level against a straight line of their own.
struct RunLine {
  std::uint32_t run = 0;  ///< word of the run column
  AsbuiltLevel level = AsbuiltLevel::floor;
  std::size_t shots = 0;
  Length rms = Length::metres(0);  ///< of the distances from the line
  /// Of the shot farthest from the line, its distance from the line of the others, + to the right of the run.
  Length worst = Length::metres(0);
  std::size_t worst_row = 0;
  Angle turned = Angle::degrees(0);  ///< of the line against the design, clockwise
};

struct RunsResult {
  std::vector<NeighbourSpace> spaces;  ///< in the order of runs and points
  std::vector<RunLine> lines;          ///< runs that are straight in the drawing, with three shots or more
};

/// Looks along every run, and fills `along` and `across` of its rows: their direction is from the neighbour
/// before to the neighbour after in the drawing.
///
/// Neighbours are points that follow one another in the drawing's run. A run is straight in the drawing where
/// no point stands over 1 mm from the line through its first and last point. The line of the shots is that of
/// least squared distances. A mark shot twice at one level counts with its first shot.
[[nodiscard]] RunsResult look_along_runs(std::span<AsbuiltRow> rows, const MarkTable& marks,
                                         std::span<const Point<Site>> site);

}  // namespace deckmark
