#pragma once
/// The drawing held against its own regularity: what breaks an even spacing, a straight run, a circle, a
/// height or a pitch between parallel runs, and what the coordinate should be.

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "marks/marks.h"
#include "measure/frame.h"

namespace deckmark {

enum class ShapeWhy : std::uint8_t { spacing, line, pitch, circle, height };
enum class ShapeAxis : std::uint8_t { x, y, both, height };
/// How a wrong coordinate came about, where exactly one way explains it.
enum class MendKind : std::uint8_t { exchanged_digits, one_digit, foot, inch, exchanged_xy };

/// How a whole run stands: aside of its row; aside, but how far it is shifted along itself is not known; its
/// stations behind or ahead of those of other runs, as one walks in the order of the drawing; turned.
enum class RunShift : std::uint8_t { aside, square, behind, ahead, turned };

struct ShapeMend {
  MendKind kind;
  Length meant;  ///< of the coordinate of `axis`; of x where x and y are exchanged
};

/// A point, or a whole run, that breaks a pattern to which the rest keeps.
struct ShapeBreak {
  std::uint32_t run;  ///< by its place in the input; lines of the runs table behind the runs
  /// Index of its place; nothing: the whole run, told at its first point.
  std::optional<std::uint32_t> point;
  /// Of the point, or of the run's first point; to the figure to which the drawing is keyed.
  Point<Drawing> expected;
  /// From the place to the expected one; of a height keyed minus expected; of a turned run how far the end
  /// that is more aside is so.
  Length off;
  ShapeWhy why;
  ShapeAxis axis;  ///< what is off
  std::optional<ShapeMend> mend{};
  RunShift shift = RunShift::aside;  ///< of a whole run
  /// The point stands on the line of this run and fills a gap in it: its run is wrong, its place right.
  std::optional<std::uint32_t> fits_run{};
};

/// What is uneven in a run, but not which of its points is wrong.
struct ShapeUnsure {
  enum class Kind : std::uint8_t { ends, spacing } kind;
  std::uint32_t run;                   ///< by its place in the input
  std::uint32_t first, last;           ///< indexes of the places of its end points
  Length first_bay, last_bay;          ///< of `ends`: to the points beside them
  std::size_t differ = 0, points = 0;  ///< of `spacing`: so many of so many leave the space of the rest
};

struct ShapeLook {
  std::vector<ShapeBreak> breaks;
  std::vector<ShapeUnsure> unsure;  ///< in the order of the runs
};

/// A run of the runs table: another run to hold pitch against.
struct ShapeLine {
  Point<Drawing> from, to;
};

struct ShapeInput {
  std::span<const Point<Drawing>> places;
  std::span<const std::uint32_t> points;  ///< of runs, run by run, each run's in the order of the drawing
  std::span<const std::uint32_t> begins;  ///< where each run begins in `points`, and the end of the last
  const OptionalLengths& heights;         ///< by index of the place
  std::span<const ShapeLine> lines;
  LengthUnit unit = LengthUnit::metre;  ///< in which the drawing is keyed
};

/// What breaks a strong pattern, in the order of the drawing, whole runs at their first point. Nothing where
/// the drawing has none.
///
/// Method    a run's line or circle is that of a few pairs or triples of its points to which most of them
///           keep; its spacing the step to which most keep in the order of the drawing, so that a bad point
///           bends neither. Runs of one direction are a family: their pitch is a sequence of the same kind,
///           and stations that two of them share speak for a third. Rings about one centre speak for another.
///           Spaces that differ at both ends alike, behind a joint, or in several runs alike are the
///           design's.
/// Limits    ours (no source): a place within 3 mm of the pattern keeps to it, or within 1.2 of the figure to
///           which the coordinates are rounded, where that is coarser; a pattern needs five points, or fewer
///           where other runs have one; a sixth of a run's points may break it. Where hangers were moved in
///           several runs (by up to 0.5 m along them), or over 8 in 100 points would be told, only digits
///           exchanged and a foot are.
/// Speed     n log n.
/// CAVEAT    of two or three rows, or of three points alone, none can be told to be the wrong one.
[[nodiscard]] ShapeLook look_at_shape(const ShapeInput& input);

}  // namespace deckmark
