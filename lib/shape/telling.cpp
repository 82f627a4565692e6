#include "shape/telling.h"

#include "shape/evenness.h"

namespace deckmark::shape_detail {

namespace {

constexpr std::size_t kFewTold = 4;
constexpr double kMostTold = 0.08;
constexpr double kSameHeight = 0.003;

}  // namespace

bool too_many(std::size_t told, std::size_t points) {
  return told > kFewTold && static_cast<double>(told) > kMostTold * static_cast<double>(points);
}

bool Telling::is_slip(const Seen& s, const Candidate& c) const {
  const auto slip = told(s, c).mend;
  return slip && slip->kind != MendKind::one_digit && slip->kind != MendKind::inch;
}

/// Places that a change of one coordinate alone brings onto the run.
Plan Telling::one_axis(const Seen& s, const Candidate& c, Plan at) const {
  if (s.shape.kind != RunShape::Kind::line) return c.expected;
  const Plan way = s.shape.way;
  if (std::min(std::abs(way.x), std::abs(way.y)) < 0.02) return c.expected;
  const double aside = cross(way, at - s.shape.at);  // way.x dy - way.y dx
  const Plan by_x{at.x + aside / way.y, at.y}, by_y{at.x, at.y - aside / way.x};
  const bool x = mend_of_coordinate(at.x, by_x.x).has_value(),
             y = mend_of_coordinate(at.y, by_y.y).has_value();
  return x == y ? c.expected : x ? by_x : by_y;
}

/// Says which coordinate is off, and rounds what is expected of it as the drawing is; where a slip of the pen
/// explains it, what was meant.
void Telling::mend(ShapeBreak& b, Plan at, Plan expected) const {
  const bool is_x = std::abs(expected.x - at.x) > tolerance_, is_y = std::abs(expected.y - at.y) > tolerance_;
  Plan e = at;
  b.axis = is_x && is_y ? ShapeAxis::both : is_x ? ShapeAxis::x : ShapeAxis::y;
  if (is_x && is_y && std::abs(at.x - expected.y) <= tolerance_ &&
      std::abs(at.y - expected.x) <= tolerance_) {
    e = {at.y, at.x};
    b.mend = ShapeMend{MendKind::exchanged_xy, Length::metres(at.y)};
  } else {
    if (is_x) e.x = figure_.rounded(expected.x);
    if (is_y) e.y = figure_.rounded(expected.y);
    if (is_x != is_y) {
      b.mend = mend_of_coordinate(is_x ? at.x : at.y, is_x ? expected.x : expected.y);
      if (b.mend) (is_x ? e.x : e.y) = b.mend->meant.metres();
    }
  }
  b.expected = point(e);
  b.off = Length::metres(size(e - at));
}

ShapeBreak Telling::told(const Seen& s, const Candidate& c) const {
  const std::uint32_t k = c.at.value_or(0);
  const Plan at = s.points[k];
  ShapeBreak b{s.run, std::nullopt, point(at), Length::metres(0), c.why, ShapeAxis::x, std::nullopt};
  if (c.at) b.point = s.points.index(k);
  mend(b, at, c.is_free ? one_axis(s, c, at) : c.expected);
  if (c.fits_run) {
    b.fits_run = c.fits_run, b.mend.reset();
    b.expected = point(at), b.off = Length::metres(size(foot(s.shape, at) - at));
  }
  if (c.turned > 0) b.shift = RunShift::turned, b.off = Length::metres(c.turned), b.mend.reset();
  if (c.is_along) {
    const bool is_behind = dot(c.expected - at, s.points[s.points.size() - 1] - at) > 0;
    b.shift = is_behind ? RunShift::behind : RunShift::ahead;
  }
  if (c.is_square && !c.at && b.axis == ShapeAxis::both) b.shift = RunShift::square, b.mend.reset();
  return b;
}

/// Heights of one run: where most state the same one, those few that do not.
void Telling::look_at_heights(const Seen& s, std::vector<ShapeBreak>& out) const {
  std::vector<double> heights;
  for (std::size_t k = 0; k < s.points.size(); ++k)
    if (const auto h = in_.heights[s.points.index(k)]) heights.push_back(h->metres());
  if (heights.size() < 4) return;
  std::vector<double> sorted = heights;
  const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 2);
  std::nth_element(sorted.begin(), middle, sorted.end());
  const double meant = *middle;
  const auto is_off = [&](double h) { return std::abs(h - meant) > kSameHeight; };
  const auto off = static_cast<std::size_t>(std::count_if(heights.begin(), heights.end(), is_off));
  if (off == 0 || off > may_break(heights.size())) return;
  for (std::size_t k = 0; k < s.points.size(); ++k) {
    const std::uint32_t p = s.points.index(k);
    const auto h = in_.heights[p];
    if (!h || !is_off(h->metres())) continue;
    ShapeBreak b{s.run, p, in_.places[p], *h - Length::metres(meant), ShapeWhy::height, ShapeAxis::height,
                 {}};
    b.mend = mend_of(h->metres(), meant, in_.unit, 0.0005, figure_);
    out.push_back(b);
  }
}

std::vector<ShapeBreak> Telling::heights(std::span<const Seen> runs) const {
  std::vector<ShapeBreak> out;
  if (in_.heights.empty()) return out;
  for (const Seen& s : runs)
    if (!s.is_stated) look_at_heights(s, out);
  if (too_many(out.size(), in_.points.size())) out.clear();
  return out;
}

}  // namespace deckmark::shape_detail
