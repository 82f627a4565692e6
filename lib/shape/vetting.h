#pragma once
/// Private to the room: which candidates the rest of the drawing speaks for.

#include <span>
#include <vector>

#include "shape/parallel_runs.h"
#include "shape/seen.h"
#include "shape/telling.h"

namespace deckmark::shape_detail {

/// How regular a drawing is.
struct Learned {
  std::vector<double> steps;          ///< of the runs that have one, sorted
  std::size_t points = 0;             ///< of runs
  std::size_t patterns = 0;           ///< runs with a strong pattern
  std::size_t whole = 0, uneven = 0;  ///< runs that keep to theirs, and those that half do
  double regular = 0;                 ///< share of the points of longer runs that have one

  /// Whether some run has that space.
  bool is_step(double step, double tolerance) const;
};
[[nodiscard]] Learned learned_of(std::span<const Seen> runs, std::span<const Family> families);

struct Vetted {
  std::vector<Candidate> told;             ///< by run and point
  std::vector<std::uint32_t> unsure_ends;  ///< runs, by their place among them, one of whose ends is wrong
};
[[nodiscard]] Vetted vetted(std::vector<Candidate> candidates, std::span<const Seen> runs,
                            std::span<const Family> families, const Learned& learned, const Telling& telling,
                            double tolerance);

/// What is uneven in runs of a drawing that else is even. `ends`: runs whose ends differ.
[[nodiscard]] std::vector<ShapeUnsure> unsure_of(std::span<const Seen> runs, const Learned& learned,
                                                 std::vector<std::uint32_t> ends);

}  // namespace deckmark::shape_detail
