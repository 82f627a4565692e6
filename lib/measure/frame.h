#pragma once
/// Frames, plan points and differences. A point of one frame cannot stand where another frame's is expected.

#include <cmath>
#include <concepts>

#include "measure/angle.h"
#include "measure/length.h"

namespace deckmark {

/// Along the two baselines, in plan seen from above; origin where they cross.
struct Drawing {
  struct Axes {
    Length x, y;
  };
};
/// Northings and eastings of the site control, plane, at ground scale.
struct Site {
  struct Axes {
    Length northing, easting;
  };
};
/// A map projection; only control handed over in grid coordinates lives here.
struct Grid {
  struct Axes {
    Length northing, easting;
  };
};

/// A plan position in frame F. No default constructor: there is no accidental origin.
template <class F>
struct Point {
  typename F::Axes at;
};
/// A plan difference in frame F.
template <class F>
struct Vec {
  typename F::Axes by;
};

template <class F>
concept XyFrame = std::same_as<F, Drawing>;
template <class F>
concept NorthEastFrame = std::same_as<F, Site> || std::same_as<F, Grid>;

template <XyFrame F>
constexpr Vec<F> operator-(const Point<F>& a, const Point<F>& b) {
  return {{.x = a.at.x - b.at.x, .y = a.at.y - b.at.y}};
}
template <NorthEastFrame F>
constexpr Vec<F> operator-(const Point<F>& a, const Point<F>& b) {
  return {{.northing = a.at.northing - b.at.northing, .easting = a.at.easting - b.at.easting}};
}
template <XyFrame F>
constexpr Point<F> operator+(const Point<F>& a, const Vec<F>& b) {
  return {{.x = a.at.x + b.by.x, .y = a.at.y + b.by.y}};
}
template <NorthEastFrame F>
constexpr Point<F> operator+(const Point<F>& a, const Vec<F>& b) {
  return {{.northing = a.at.northing + b.by.northing, .easting = a.at.easting + b.by.easting}};
}
template <XyFrame F>
Length norm(const Vec<F>& v) {
  return hypot(v.by.x, v.by.y);
}
template <NorthEastFrame F>
Length norm(const Vec<F>& v) {
  return hypot(v.by.northing, v.by.easting);
}
template <class F>
Length distance(const Point<F>& a, const Point<F>& b) {
  return norm(b - a);
}

/// Direction of a site difference, clockwise from north. REQUIRES a difference that is not zero.
Azimuth azimuth_of(const Vec<Site>& v);
/// The same from grid north.
Azimuth azimuth_of(const Vec<Grid>& v);

/// A height above the site's datum; only differences of elevations are lengths.
class Elevation {
 public:
  static constexpr Elevation metres(double v) { return Elevation(Length::metres(v)); }
  static constexpr Elevation at(Length above_datum) { return Elevation(above_datum); }
  constexpr Length above_datum() const { return h_; }
  friend constexpr Length operator-(Elevation a, Elevation b) { return a.h_ - b.h_; }
  friend constexpr Elevation operator+(Elevation a, Length b) { return Elevation(a.h_ + b); }
  friend constexpr Elevation operator-(Elevation a, Length b) { return Elevation(a.h_ - b); }
  friend constexpr auto operator<=>(Elevation a, Elevation b) = default;

 private:
  explicit constexpr Elevation(Length h) : h_(h) {}
  Length h_;
};

}  // namespace deckmark
