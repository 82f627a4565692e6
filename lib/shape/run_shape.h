#pragma once
/// Private to the room: the line or circle that most points of a run keep to.

#include <cstdint>
#include <span>
#include <vector>

#include "plane/plane_vector.h"

namespace deckmark::shape_detail {

using Plan = plane_detail::V;
using plane_detail::cross;
using plane_detail::dot;
using plane_detail::point;
using plane_detail::size;
inline Plan plan(const Point<Drawing>& p) { return plane_detail::of(p); }

/// A run's points in the order of the drawing.
class RunPoints {
 public:
  RunPoints(std::span<const Point<Drawing>> places, std::span<const std::uint32_t> points)
      : places_(places), points_(points) {}
  std::size_t size() const { return points_.size(); }
  Plan operator[](std::size_t k) const { return plan(places_[points_[k]]); }
  std::uint32_t index(std::size_t k) const { return points_[k]; }

 private:
  std::span<const Point<Drawing>> places_;
  std::span<const std::uint32_t> points_;
};

struct RunShape {
  enum class Kind : std::uint8_t { none, line, circle } kind = Kind::none;
  Plan at;   ///< of a line: a place on it; of a circle: its centre
  Plan way;  ///< of a line: its direction, length 1, from the first point on
  double radius = 0;
  std::vector<std::uint32_t> off;  ///< points that do not keep to it, by their place in the run
  bool is_weak = false;            ///< three of four: other runs have to speak for it

  bool is_off(std::uint32_t k) const;
  /// How far a place lies from it, to the left of the line or outside the circle.
  double aside(Plan p) const;
};

/// Line or circle of four points or more; a line of three that lie on one; else none.
[[nodiscard]] RunShape shape_of(const RunPoints& run, double tolerance);

/// The circle's foot: the place on the run nearest to p.
[[nodiscard]] Plan foot(const RunShape& shape, Plan p);

}  // namespace deckmark::shape_detail
