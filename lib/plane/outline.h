#pragma once
/// Closed outlines in plan: which corners make one, what lies in it, how near it is, and what it blocks.

#include <cstddef>
#include <cstdint>
#include <span>
#include <variant>
#include <vector>

#include "measure/frame.h"
#include "measure/verdict.h"

namespace deckmark {

/// Corners in an outline at most; its check compares every edge with every other.
inline constexpr std::size_t kMostCorners = 1000;

/// Why corners are no outline, and at which. Corners are counted from 0 in the order given.
struct OutlineFault {
  enum class Kind : std::uint8_t {
    too_few,     ///< fewer than three; `corner` is the last one
    too_many,    ///< more than `kMostCorners`; `corner` is the first too many
    repeated,    ///< `corner` stands where `other`, the one before it, stands
    folds_back,  ///< the edges at `corner` lie on one another
    crosses,     ///< the edge from `corner` crosses the edge from `other`
    touches,     ///< `corner` lies on the edge from `other`
    no_area      ///< so thin that it holds nothing; `corner` is the last one
  };
  Kind kind;
  std::size_t corner = 0, other = 0;
};

/// A stretch of a line or a run: from below to.
struct Stretch {
  Length from, to;
};

/// A simple closed polygon. Corners may go round either way, and may lie on a straight edge; the first may be
/// repeated as the last to close it.
///
/// Frames    Drawing.
/// Accuracy  decisions are made to 1e-9 m: a place within that of an edge is on it.
class Outline {
 public:
  /// An outline, or why these corners are none.
  static std::variant<Outline, OutlineFault> make(std::span<const Point<Drawing>> corners);

  enum class Side : std::uint8_t { inside, edge, outside };
  Side side_of(const Point<Drawing>& p) const;
  /// Distance to the nearest edge, from inside too.
  Length edge_distance(const Point<Drawing>& p) const;
  /// Distance to the outline: 0 inside and on an edge.
  Length clearance(const Point<Drawing>& p) const;
  /// Inside, or nearer than the clearance; exactly at the clearance is clear.
  bool blocks(const Point<Drawing>& p, Length clearance) const;
  /// Whether a straight sight has a place in the outline or on an edge.
  bool meets(const Point<Drawing>& from, const Point<Drawing>& to) const;
  /// The stretches of a straight line that are blocked, in order, as distances from `origin` along `way` (any
  /// size but zero). The ends of a stretch are clear.
  std::vector<Stretch> blocked(const Point<Drawing>& origin, const Vec<Drawing>& way, Length clearance) const;

  /// Square metres.
  double area() const { return area_; }
  bool is_counter_clockwise() const { return counter_clockwise_; }
  /// Of length 1: the way across which the outline is narrowest, x above zero or x zero and y above zero; of
  /// two that are alike to 1e-9 m the one nearer to +X.
  Vec<Drawing> narrower_way() const { return narrower_way_; }
  Length width() const { return width_; }
  /// Without a closing repetition of the first.
  const std::vector<Point<Drawing>>& corners() const { return corners_; }

 private:
  explicit Outline(std::vector<Point<Drawing>> corners);
  bool outside_box(const Point<Drawing>& p, double beyond) const;
  std::vector<Point<Drawing>> corners_;
  double area_ = 0;
  bool counter_clockwise_ = true;
  Vec<Drawing> narrower_way_;
  Length width_;
  double low_x_ = 0, high_x_ = 0, low_y_ = 0, high_y_ = 0;  // box
};

/// A stretch along which two outlines lie against one another.
struct SharedEdge {
  Point<Drawing> middle;
  Length length;
};
/// The longest stretch of two edges, one of each, that lie within `gap` of one another; length zero where
/// there is none.
SharedEdge shared_edge(const Outline& a, const Outline& b, Length gap);

/// Stretches brought into order; those that overlap by over 1e-9 m become one.
std::vector<Stretch> joined(std::vector<Stretch> stretches);

/// Distance of a point from the segment between two others.
Length distance_to_segment(const Point<Drawing>& p, const Point<Drawing>& a, const Point<Drawing>& b);

}  // namespace deckmark
