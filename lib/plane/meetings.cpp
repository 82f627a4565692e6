// Where two paths meet: the closed forms propose places, and the paths themselves say which of them they
// have.
#include <algorithm>

#include "plane/path.h"
#include "plane/plane_vector.h"

namespace deckmark {

using namespace plane_detail;

namespace {

struct Circle {
  V centre;
  double radius;
};
Circle circle_of(const Path& p) { return {of(*p.centre()), p.radius()->metres()}; }

void line_and_line(const Path& a, const Path& b, std::vector<V>& out) {
  const Length zero = Length::metres(0);
  const V p = of(a.at(zero)), u = of(a.direction_at(zero)), q = of(b.at(zero)), w = of(b.direction_at(zero));
  const double sine = cross(u, w);
  if (std::abs(sine) > 1e-12) out.push_back(p + (cross(q - p, w) / sine) * u);
}

void line_and_circle(const Path& line, const Circle& c, std::vector<V>& out) {
  const Length zero = Length::metres(0);
  const V p = of(line.at(zero)), u = of(line.direction_at(zero));
  const double t = dot(c.centre - p, u), off = cross(u, c.centre - p),
               square = c.radius * c.radius - off * off;
  const double half =
      square > 0 ? std::sqrt(square) : 0;  // beyond: the nearest place, which is kept if it is near enough
  out.push_back(p + (t - half) * u);
  if (half > 0) out.push_back(p + (t + half) * u);
}

void circle_and_circle(const Circle& a, const Circle& b, std::vector<V>& out) {
  const V by = b.centre - a.centre;
  const double d = size(by);
  if (d < kHairMetres) return;
  const V u = (1 / d) * by, across{-u.y, u.x};
  const double t = (d * d + a.radius * a.radius - b.radius * b.radius) / (2 * d),
               square = a.radius * a.radius - t * t;
  const double half = square > 0 ? std::sqrt(square) : 0;
  const double along = square > 0 ? t : (t > 0 ? a.radius : -a.radius);
  out.push_back(a.centre + along * u + half * across);
  if (half > 0) out.push_back(a.centre + along * u + (-half) * across);
}

void where_curves_meet(const Path& first, const Path& second, std::vector<V>& out) {
  if (first.is_straight() && second.is_straight())
    line_and_line(first, second, out);
  else if (first.is_straight())
    line_and_circle(first, circle_of(second), out);
  else if (second.is_straight())
    line_and_circle(second, circle_of(first), out);
  else
    circle_and_circle(circle_of(first), circle_of(second), out);
}

/// How far a place lies off the whole line or circle.
double off_curve(const Path& p, V v) {
  if (p.is_straight())
    return std::abs(cross(of(p.direction_at(Length::metres(0))), v - of(p.at(Length::metres(0)))));
  return std::abs(size(v - of(*p.centre())) - p.radius()->metres());
}

}  // namespace

std::vector<Point<Drawing>> whole_meetings(const Path& first, const Path& second, Length miss) {
  std::vector<V> proposed;
  where_curves_meet(first, second, proposed);
  std::vector<Point<Drawing>> out;
  for (const V& v : proposed)
    if (off_curve(first, v) <= miss.metres() && off_curve(second, v) <= miss.metres())
      out.push_back(point(v));
  return out;
}

Meetings meetings(const Path& first, const Path& second, Length join) {
  std::vector<V> proposed;
  for (const Path* p : {&first, &second})  // ends first: a place near an end is the end
    if (!p->is_closed())
      for (const Length s : {Length::metres(0), p->length()}) proposed.push_back(of(p->at(s)));
  where_curves_meet(first, second, proposed);
  Meetings out;
  for (const V& v : proposed) {
    const Path::Nearest a = first.nearest(point(v)), b = second.nearest(point(v));
    if (a.distance > join || b.distance > join) continue;
    const bool known = std::any_of(out.places.begin(), out.places.end(),
                                   [&](const Meeting& m) { return distance(m.at, point(v)) < 2.0 * join; });
    if (!known) out.places.push_back({point(v), a.along, b.along});
  }
  std::sort(out.places.begin(), out.places.end(),
            [](const Meeting& a, const Meeting& b) { return a.along_first < b.along_first; });
  for (std::size_t i = 1; i < out.places.size(); ++i) {
    const Length middle = 0.5 * (out.places[i - 1].along_first + out.places[i].along_first);
    if (second.nearest(first.at(middle)).distance <= join &&
        second.nearest(first.at(0.5 * (out.places[i - 1].along_first + middle))).distance <= join)
      out.overlap = true;
  }
  if (first.is_closed() && second.is_closed() && distance(*first.centre(), *second.centre()) <= join &&
      abs(*first.radius() - *second.radius()) <= join)
    out.overlap = true;
  return out;
}

}  // namespace deckmark
