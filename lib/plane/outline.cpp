#include "plane/outline.h"

#include <algorithm>
#include <numeric>

#include "plane/plane_vector.h"

namespace deckmark {

using namespace plane_detail;

namespace {

/// Corners of the convex hull, counter-clockwise. Source: A. M. Andrew, "Another efficient algorithm for
/// convex hulls in two dimensions", Information Processing Letters 9 (1979), from memory.
std::vector<V> hull_of(std::vector<V> c) {
  std::sort(c.begin(), c.end(), [](V a, V b) { return a.x != b.x ? a.x < b.x : a.y < b.y; });
  std::vector<V> hull;
  for (int half = 0; half < 2; ++half) {
    const std::size_t start = hull.size();
    for (const V p : c) {
      while (hull.size() >= start + 2 && cross(hull.back() - hull[hull.size() - 2], p - hull.back()) <= 0)
        hull.pop_back();
      hull.push_back(p);
    }
    hull.pop_back();
    std::reverse(c.begin(), c.end());
  }
  return hull;
}

struct Narrow {
  V way;
  double width;
};

/// The smallest width stands on an edge of the hull.
Narrow narrowest(const std::vector<V>& hull) {
  Narrow best{{1, 0}, INFINITY};
  for (std::size_t i = 0; i < hull.size(); ++i) {
    const V edge = hull[(i + 1) % hull.size()] - hull[i];
    V way = (1 / size(edge)) * V{-edge.y, edge.x};
    if (way.x < -1e-12 || (std::abs(way.x) <= 1e-12 && way.y < 0)) way = -1.0 * way;
    double width = 0;
    for (const V p : hull) width = std::max(width, std::abs(dot(p - hull[i], way)));
    const bool narrower = width < best.width - kHairMetres;
    if (narrower || (width <= best.width + kHairMetres && way.x > best.way.x + 1e-12)) best = {way, width};
  }
  return best;
}

/// Where a line is nearer than r to the segment a b: one interval, since distance to a segment is convex.
void add_capsule(V o, V u, V a, V b, double r, std::vector<Stretch>& out) {
  double low = INFINITY, high = -INFINITY;
  const auto take = [&](double from, double to) {
    if (from >= to) return;
    low = std::min(low, from);
    high = std::max(high, to);
  };
  for (const V c : {a, b}) {
    const double t = dot(c - o, u), off = cross(u, c - o), square = r * r - off * off;
    if (square > 0) take(t - std::sqrt(square), t + std::sqrt(square));
  }
  const V along = (1 / size(b - a)) * (b - a), across{-along.y, along.x};
  // Within the strip of the segment: |across| < r and 0 <= along <= its length, each an interval of t.
  double from = -INFINITY, to = INFINITY;
  const auto bound = [&](double start, double rate, double least, double most) {
    if (std::abs(rate) < 1e-15) {
      if (start <= least || start >= most) to = -INFINITY;
      return;
    }
    const double t1 = (least - start) / rate, t2 = (most - start) / rate;
    from = std::max(from, std::min(t1, t2));
    to = std::min(to, std::max(t1, t2));
  };
  bound(dot(o - a, across), dot(u, across), -r, r);
  bound(dot(o - a, along), dot(u, along), 0, size(b - a));
  if (std::isfinite(from) && std::isfinite(to)) take(from, to);
  if (low < high) out.push_back({Length::metres(low), Length::metres(high)});
}

}  // namespace

std::vector<Stretch> joined(std::vector<Stretch> stretches) {
  std::sort(stretches.begin(), stretches.end(),
            [](const Stretch& a, const Stretch& b) { return a.from < b.from; });
  std::vector<Stretch> out;
  for (const Stretch& s : stretches) {
    if (!out.empty() && s.from < out.back().to - kHair)
      out.back().to = std::max(out.back().to, s.to);
    else
      out.push_back(s);
  }
  return out;
}

Length distance_to_segment(const Point<Drawing>& p, const Point<Drawing>& a, const Point<Drawing>& b) {
  return Length::metres(segment_distance(of(p), of(a), of(b)));
}

Outline::Outline(std::vector<Point<Drawing>> corners)
    : corners_(std::move(corners)), narrower_way_(vec({1, 0})), width_(Length::metres(0)) {
  std::vector<V> c;
  for (const Point<Drawing>& p : corners_) c.push_back(of(p));
  double twice = 0;
  for (std::size_t i = 0; i < c.size(); ++i) twice += cross(c[i] - c[0], c[(i + 1) % c.size()] - c[0]);
  area_ = std::abs(twice) / 2;
  counter_clockwise_ = twice > 0;
  const auto [west, east] = std::minmax_element(c.begin(), c.end(), [](V a, V b) { return a.x < b.x; });
  const auto [south, north] = std::minmax_element(c.begin(), c.end(), [](V a, V b) { return a.y < b.y; });
  low_x_ = west->x, high_x_ = east->x, low_y_ = south->y, high_y_ = north->y;
  const Narrow narrow = narrowest(hull_of(c));
  narrower_way_ = vec(narrow.way);
  width_ = Length::metres(narrow.width);
}

bool Outline::outside_box(const Point<Drawing>& p, double beyond) const {
  const V v = of(p);
  return v.x < low_x_ - beyond || v.x > high_x_ + beyond || v.y < low_y_ - beyond || v.y > high_y_ + beyond;
}

Length Outline::edge_distance(const Point<Drawing>& p) const {
  const V v = of(p);
  double nearest = INFINITY;
  for (std::size_t i = 0; i < corners_.size(); ++i)
    nearest =
        std::min(nearest, segment_distance(v, of(corners_[i]), of(corners_[(i + 1) % corners_.size()])));
  return Length::metres(nearest);
}

Outline::Side Outline::side_of(const Point<Drawing>& p) const {
  if (outside_box(p, kHairMetres)) return Side::outside;
  if (edge_distance(p) <= kHair) return Side::edge;
  // Crossings of a ray towards +X; an edge counts its lower end and not its upper one.
  const V v = of(p);
  bool inside = false;
  for (std::size_t i = 0; i < corners_.size(); ++i) {
    const V a = of(corners_[i]), b = of(corners_[(i + 1) % corners_.size()]);
    if ((a.y > v.y) == (b.y > v.y)) continue;
    const double left = cross(b - a, v - a);
    if ((left > 0) == (b.y > a.y)) inside = !inside;
  }
  return inside ? Side::inside : Side::outside;
}

Length Outline::clearance(const Point<Drawing>& p) const {
  return side_of(p) == Side::outside ? edge_distance(p) : Length::metres(0);
}

bool Outline::blocks(const Point<Drawing>& p, Length clearance) const {
  if (outside_box(p, clearance.metres() + kHairMetres)) return false;
  return side_of(p) == Side::inside || edge_distance(p) < clearance - kHair;
}

bool Outline::meets(const Point<Drawing>& from, const Point<Drawing>& to) const {
  if (side_of(from) != Side::outside || side_of(to) != Side::outside) return true;
  const V a = of(from), b = of(to);
  for (std::size_t i = 0; i < corners_.size(); ++i) {
    const V p = of(corners_[i]), q = of(corners_[(i + 1) % corners_.size()]);
    if (cross_properly(a, b, p, q) || segment_distance(p, a, b) <= kHairMetres) return true;
  }
  return false;
}

std::vector<Stretch> Outline::blocked(const Point<Drawing>& origin, const Vec<Drawing>& way,
                                      Length clearance) const {
  const V o = of(origin), u = (1 / size(of(way))) * of(way);
  std::vector<Stretch> out;
  std::vector<double> cuts;
  for (std::size_t i = 0; i < corners_.size(); ++i) {
    const V a = of(corners_[i]), b = of(corners_[(i + 1) % corners_.size()]);
    if (clearance > kHair) add_capsule(o, u, a, b, clearance.metres(), out);
    const double left = cross(u, a - o), right = cross(u, b - o);
    if (std::abs(left) <= kHairMetres) cuts.push_back(dot(a - o, u));
    if ((left > 0) != (right > 0)) cuts.push_back(dot(a + (left / (left - right)) * (b - a) - o, u));
  }
  std::sort(cuts.begin(), cuts.end());
  for (std::size_t i = 1; i < cuts.size(); ++i)
    if (cuts[i] - cuts[i - 1] > kHairMetres &&
        side_of(point(o + (0.5 * (cuts[i] + cuts[i - 1])) * u)) == Side::inside)
      out.push_back({Length::metres(cuts[i - 1]), Length::metres(cuts[i])});
  return joined(std::move(out));
}

SharedEdge shared_edge(const Outline& a, const Outline& b, Length gap) {
  SharedEdge best{a.corners()[0], Length::metres(0)};
  const auto edge = [](const Outline& o, std::size_t i) {
    return std::pair(of(o.corners()[i]), of(o.corners()[(i + 1) % o.corners().size()]));
  };
  for (std::size_t i = 0; i < a.corners().size(); ++i) {
    const auto [p, q] = edge(a, i);
    const V u = (1 / size(q - p)) * (q - p);
    for (std::size_t j = 0; j < b.corners().size(); ++j) {
      const auto [r, s] = edge(b, j);
      const double t1 = dot(r - p, u), t2 = dot(s - p, u);
      const double from = std::max(0.0, std::min(t1, t2)), to = std::min(size(q - p), std::max(t1, t2));
      if (to - from <= best.length.metres()) continue;
      const V m = p + (0.5 * (from + to)) * u;
      if (segment_distance(p + from * u, r, s) > gap.metres() ||
          segment_distance(p + to * u, r, s) > gap.metres())
        continue;
      best = {point(m), Length::metres(to - from)};
    }
  }
  return best;
}

}  // namespace deckmark
