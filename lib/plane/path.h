#pragma once
/// Lines, arcs and rings in plan, measured along themselves, and where two of them meet.

#include <optional>
#include <vector>

#include "measure/frame.h"

namespace deckmark {

/// A line, an arc or a closed ring.
///
/// Frames    Drawing.
/// Method    an arc is a centre, a radius, the angle at which it starts and the angle through which it turns
///           (counter-clockwise above zero); lengths are radius times angle. Source: circular curve elements,
///           L = R delta, chord = 2 R sin(delta/2), middle ordinate = R (1 - cos(delta/2)).
/// Accuracy  a micrometre for radii up to 10 km.
class Path {
 public:
  /// Nothing where the ends are within 1 mm of one another.
  static std::optional<Path> line(const Point<Drawing>& from, const Point<Drawing>& to);
  /// Through a point between the ends. Nothing where two of the three are within 1 mm, or the point between
  /// is within 0.01 mm of their straight line.
  static std::optional<Path> arc(const Point<Drawing>& from, const Point<Drawing>& between,
                                 const Point<Drawing>& to);
  /// A full circle, counter-clockwise from `from`, that has `opposite` on its far side.
  static std::optional<Path> ring(const Point<Drawing>& from, const Point<Drawing>& opposite);

  Length length() const { return length_; }
  bool is_closed() const { return closed_; }
  bool is_straight() const { return !radius_; }
  std::optional<Length> radius() const { return radius_; }
  /// Of the circle; absent for a line.
  std::optional<Point<Drawing>> centre() const;
  Point<Drawing> at(Length along) const;
  /// Of length 1, the way on.
  Vec<Drawing> direction_at(Length along) const;
  struct Nearest {
    Length along, distance;
  };
  /// The place on the path nearest to a point; the first of several.
  Nearest nearest(const Point<Drawing>& p) const;
  /// The foot of a place on the whole line or circle of the path, along it from its start: below zero before
  /// it, over the length behind it. Of the turns of a circle the one nearest to `near`.
  Length whole_along(const Point<Drawing>& p, Length near) const;
  /// The curve that lies `left` of the way (below zero to its right), square beside the places from `from` to
  /// `to`, which may lie beyond the ends: there a line and a circle go on. Closed where all of a ring is
  /// meant. Nothing where a circle has no room for it, or where it is no longer than 1 mm.
  std::optional<Path> parallel(Length left, Length from, Length to) const;
  /// Straight from end to end; the diameter of a ring.
  Length chord() const;
  /// How far the middle stands off the chord (middle ordinate); the radius of a ring, 0 for a line.
  Length rise() const;

 private:
  Path(Point<Drawing> from, Length length) : from_(from), centre_(from), length_(length) {}
  Point<Drawing> from_;
  Point<Drawing> centre_;
  Length length_;
  std::optional<Length> radius_;
  double start_ = 0, turn_ = 0;   // radians: where an arc starts, seen from its centre, and how far it turns
  double way_x_ = 1, way_y_ = 0;  // of a line
  bool closed_ = false;
};

/// A box round a path; of an arc round its circle.
struct PlanBox {
  Length low_x, high_x, low_y, high_y;
};
PlanBox box_of(const Path& path);
/// Whether two boxes lie further apart than `gap`.
bool are_apart(const PlanBox& a, const PlanBox& b, Length gap);

/// Places along the path, its ends too, whose straight joins stand off it by no more than `rise` (over 0); a
/// line has its two ends. At most 720 joins.
std::vector<Point<Drawing>> polyline(const Path& path, Length rise);

/// Where two paths meet.
struct Meeting {
  Point<Drawing> at;
  Length along_first, along_second;
};
struct Meetings {
  std::vector<Meeting> places;  ///< in the order along the first
  bool overlap = false;         ///< they lie on one another over a stretch
};
/// `join`: ends that come this near to the other path meet it, and places nearer to one another than twice
/// this are one.
Meetings meetings(const Path& first, const Path& second, Length join);

/// Where the whole lines or circles of two paths meet; where they miss one another by no more than `miss`,
/// the place on the first that is nearest.
std::vector<Point<Drawing>> whole_meetings(const Path& first, const Path& second, Length miss);

}  // namespace deckmark
