#pragma once
/// Angles in degrees inside; azimuths clockwise from north in [0, 360).

#include <cmath>
#include <compare>

namespace deckmark {

/// A difference of directions, a turn. Not normalised.
class Angle {
 public:
  static constexpr Angle degrees(double v) { return Angle(v); }
  static constexpr Angle gon(double v) { return Angle(v * 0.9); }
  static constexpr Angle arc_seconds(double v) { return Angle(v / 3600.0); }
  static Angle radians(double v);
  constexpr double degrees() const { return d_; }
  constexpr double arc_seconds() const { return d_ * 3600.0; }
  double radians() const;
  constexpr Angle operator-() const { return Angle(-d_); }
  friend constexpr Angle operator+(Angle a, Angle b) { return Angle(a.d_ + b.d_); }
  friend constexpr Angle operator-(Angle a, Angle b) { return Angle(a.d_ - b.d_); }
  friend constexpr Angle operator*(Angle a, double k) { return Angle(a.d_ * k); }
  friend constexpr Angle operator*(double k, Angle a) { return Angle(a.d_ * k); }
  friend constexpr double operator/(Angle a, Angle b) { return a.d_ / b.d_; }
  friend constexpr Angle operator/(Angle a, double k) { return Angle(a.d_ / k); }
  friend constexpr auto operator<=>(Angle a, Angle b) = default;

 private:
  explicit constexpr Angle(double d) : d_(d) {}
  double d_;
};

/// A direction clockwise from north, always in [0, 360).
class Azimuth {
 public:
  static Azimuth degrees(double v);  ///< any finite value, brought into [0, 360)
  double degrees() const { return d_; }
  /// Exact at the quadrants.
  double sine() const;
  double cosine() const;
  friend Azimuth operator+(Azimuth a, Angle b) { return degrees(a.d_ + b.degrees()); }
  friend Azimuth operator-(Azimuth a, Angle b) { return degrees(a.d_ - b.degrees()); }
  /// The short way round, in (-180, 180].
  friend Angle operator-(Azimuth a, Azimuth b);
  friend bool operator==(Azimuth a, Azimuth b) = default;

 private:
  explicit Azimuth(double d) : d_(d) {}
  double d_;
};

/// The angle brought into (-180, 180].
Angle wrapped(Angle a);

}  // namespace deckmark
