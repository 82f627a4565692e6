#pragma once
/// Private to the room: what is known of each run, and what may be told of it.

#include <cstdint>
#include <optional>
#include <vector>

#include "shape/evenness.h"
#include "shape/run_shape.h"
#include "shape/shape.h"

namespace deckmark::shape_detail {

/// A run as it was found.
struct Seen {
  std::uint32_t run;
  RunPoints points;
  bool is_stated;  ///< a line of the runs table
  RunShape shape{};
  bool is_closed = false;  ///< its points go round the whole circle
  Evenness even{};
  std::optional<std::uint32_t> family{};
};

/// What may be told, until the rest of the drawing has been asked.
struct Candidate {
  std::uint32_t seen;                 ///< by its place among the runs
  std::optional<std::uint32_t> at{};  ///< the point by its place in the run; nothing: the whole run
  Plan expected{};                    ///< of the point or of the run's first point
  ShapeWhy why = ShapeWhy::spacing;
  bool is_weak = false;    ///< other runs of the drawing must have a pattern
  bool is_end = false;     ///< may be an end bay by design
  bool is_either = false;  ///< or the candidate beside it, of the run's other end
  bool is_free = false;    ///< the place along the run is not known: expected is the foot on it
  Plan by_step{};          ///< of two ends that differ: where the run's step alone has this one
  std::optional<std::uint32_t> fits_run{};  ///< a run whose gap the point fills where it stands
  bool is_slip = false;                     ///< a slip of the pen explains it
  double turned = 0;       ///< of a run that is turned: how far the end that is more aside is so
  bool is_along = false;   ///< a whole run is shifted along itself
  bool is_square = false;  ///< a whole run is aside, and no other run says how far it is shifted along itself
  bool is_far = false;     ///< further aside than is believed without a slip of the pen that explains it
};

}  // namespace deckmark::shape_detail
