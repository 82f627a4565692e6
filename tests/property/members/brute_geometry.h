#pragma once
/// Lines beside lines, by brute force: places by stepping, lengths by chords, meetings by scanning. Nothing
/// here knows a formula of a parallel or of an intersection, and nothing is the program's. Metres and
/// radians.

#include <optional>
#include <vector>

namespace deckmark_test {

struct Spot {
  double x = 0, y = 0;
};
Spot operator+(Spot a, Spot b);
Spot operator-(Spot a, Spot b);
Spot operator*(double by, Spot a);
double distance(Spot a, Spot b);
double cross(Spot a, Spot b);
double dot(Spot a, Spot b);

/// The middle line of a run in the drawing. It goes on beyond its ends, a line straight, an arc as its
/// circle.
class RunLine {
 public:
  static RunLine straight(Spot from, Spot to);
  /// Begins in `direction` (from the centre, counter-clockwise from +x) and turns left where `turn` is above
  /// zero.
  static RunLine round(Spot centre, double radius, double direction, double turn);

  Spot at(double along) const;
  /// Unit vector in which the run goes, from two near places.
  Spot way(double along) const;
  double length() const { return length_; }
  bool is_straight() const { return radius_ == 0; }
  /// Once round; nothing of a line.
  std::optional<double> round_length() const;
  RunLine walked_back() const;

 private:
  Spot from_;  ///< of a line its beginning, else the centre
  Spot to_;
  double radius_ = 0, direction_ = 0, turn_ = 0, length_ = 0;
};

/// A line to the left of a run's (to its right where `left` is below zero), as seen on the drawing.
struct Beside {
  RunLine run;
  double left = 0;

  /// Square from the run's place.
  Spot at(double along) const;
  Spot way(double along) const;
  /// From one place to the other, measured along this line; below zero backwards. Within 0.1 um.
  double length(double from, double to) const;
  /// Where one comes to, `distance` along this line after `from`; in the run's measure.
  double after(double from, double distance) const;
  /// The place nearest to a spot, between two places; in the run's measure.
  double nearest(Spot spot, double from, double to) const;
};

struct Window {
  double from, to;
};
struct Meeting {
  double first, second;  ///< along the runs
  double sine;           ///< of the angle between the lines
};
/// All meetings within the windows, in no order.
std::vector<Meeting> meetings(const Beside& a, Window in_a, const Beside& b, Window in_b);

}  // namespace deckmark_test
