#include "baseline/strings.h"

#include <algorithm>
#include <cmath>

namespace deckmark {

namespace {

double dot(const Vec<Site>& a, const Vec<Site>& b) {
  return a.by.northing.metres() * b.by.northing.metres() + a.by.easting.metres() * b.by.easting.metres();
}

/// Cosine of the acute angle between two lines.
double along(const Vec<Site>& a, const Vec<Site>& b) {
  return std::abs(dot(a, b)) / (norm(a).metres() * norm(b).metres());
}
Angle acute(const Vec<Site>& a, const Vec<Site>& b) {
  return Angle::radians(std::acos(std::min(1.0, along(a, b))));
}

Vec<Site> axis(const Transform<Site, Drawing>& map, double x, double y) {
  const auto at = [](double to_x, double to_y) {
    return Point<Drawing>{{.x = Length::metres(to_x), .y = Length::metres(to_y)}};
  };
  return map(at(x, y)) - map(at(0, 0));
}

}  // namespace

StringLines::StringLines(const Point<Site>& first, const Point<Site>& second, const Point<Site>& third,
                         const Transform<Site, Drawing>& site_from_drawing)
    : first_(first),
      second_(second),
      third_(third),
      x_(axis(site_from_drawing, 1, 0)),
      y_(axis(site_from_drawing, 0, 1)),
      to_x_(square_to(third, x_)),
      to_y_(square_to(second, y_)) {}

StringLines::Line StringLines::square_to(const Point<Site>& end, const Vec<Site>& axis) const {
  const Vec<Site> way = end - first_;
  const double length = norm(way).metres();
  Line out{-way.by.easting.metres() / length, way.by.northing.metres() / length};
  if (out.northing * axis.by.northing.metres() + out.easting * axis.by.easting.metres() < 0)
    out = {-out.northing, -out.easting};
  return out;
}

Length StringLines::from(const Line& line, const Point<Site>& place) const {
  const Vec<Site> way = place - first_;
  return line.northing * way.by.northing + line.easting * way.by.easting;
}

StringDistances StringLines::of(const Point<Site>& place) const {
  return {from(to_x_, place), from(to_y_, place)};
}

Angle StringLines::crossing() const { return acute(second_ - first_, third_ - first_); }
Angle StringLines::off_x() const { return acute(second_ - first_, x_); }
Angle StringLines::off_y() const { return acute(third_ - first_, y_); }

bool StringLines::are_exchanged() const {
  return along(second_ - first_, x_) < along(second_ - first_, y_) &&
         along(third_ - first_, y_) < along(third_ - first_, x_);
}

bool StringLines::is_second_to_x() const { return from(to_x_, second_) > Length::metres(0); }
bool StringLines::is_third_to_y() const { return from(to_y_, third_) > Length::metres(0); }

}  // namespace deckmark
