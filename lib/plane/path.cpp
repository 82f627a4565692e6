#include "plane/path.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "measure/verdict.h"
#include "plane/plane_vector.h"

namespace deckmark {

using namespace plane_detail;

namespace {

constexpr double kLeastEnds = 0.001;  // metres between points that a path is made from
constexpr double kLeastRise = 0.00001;
constexpr double kTwoPi = 2 * std::numbers::pi;

/// The angle brought into [0, 2 pi).
double around(double angle) {
  const double a = std::fmod(angle, kTwoPi);
  return a < 0 ? a + kTwoPi : a;
}

}  // namespace

std::optional<Path> Path::line(const Point<Drawing>& from, const Point<Drawing>& to) {
  const V by = of(to) - of(from);
  const double length = size(by);
  if (!(length > kLeastEnds)) return std::nullopt;
  Path path(from, Length::metres(length));
  path.way_x_ = by.x / length, path.way_y_ = by.y / length;
  return path;
}

std::optional<Path> Path::arc(const Point<Drawing>& from, const Point<Drawing>& between,
                              const Point<Drawing>& to) {
  const V a = of(from), b = of(between) - a, c = of(to) - a;
  if (size(b) <= kLeastEnds || size(c) <= kLeastEnds || size(b - c) <= kLeastEnds) return std::nullopt;
  const double twice = 2 * cross(b, c);
  if (std::abs(twice) / 2 <= kLeastRise * size(c)) return std::nullopt;
  // The centre is as far from the start as from the two others.
  const double bb = dot(b, b), cc = dot(c, c);
  const V m{(bb * c.y - cc * b.y) / twice, (cc * b.x - bb * c.x) / twice};
  Path path(from, Length::metres(0));
  path.centre_ = point(a + m);
  path.radius_ = Length::metres(size(m));
  path.start_ = std::atan2(-m.y, -m.x);
  const double end = std::atan2(c.y - m.y, c.x - m.x);
  // The triangle start, between, end turns the way the arc does.
  path.turn_ = twice > 0 ? around(end - path.start_) : -around(path.start_ - end);
  path.length_ = Length::metres(size(m) * std::abs(path.turn_));
  return path;
}

std::optional<Path> Path::ring(const Point<Drawing>& from, const Point<Drawing>& opposite) {
  const V a = of(from), half = 0.5 * (of(opposite) - a);
  if (2 * size(half) <= kLeastEnds) return std::nullopt;
  Path path(from, Length::metres(size(half) * kTwoPi));
  path.centre_ = point(a + half);
  path.radius_ = Length::metres(size(half));
  path.start_ = std::atan2(-half.y, -half.x);
  path.turn_ = kTwoPi;
  path.closed_ = true;
  return path;
}

std::optional<Point<Drawing>> Path::centre() const {
  if (is_straight()) return std::nullopt;
  return centre_;
}

Point<Drawing> Path::at(Length along) const {
  if (is_straight()) return point(of(from_) + along.metres() * V{way_x_, way_y_});
  const double angle = start_ + turn_ * (along / length_);
  return point(of(centre_) + radius_->metres() * V{std::cos(angle), std::sin(angle)});
}

Vec<Drawing> Path::direction_at(Length along) const {
  if (is_straight()) return vec({way_x_, way_y_});
  const double angle = start_ + turn_ * (along / length_), sign = turn_ > 0 ? 1 : -1;
  return vec(sign * V{-std::sin(angle), std::cos(angle)});
}

Path::Nearest Path::nearest(const Point<Drawing>& p) const {
  const V v = of(p);
  Length along = Length::metres(0);
  if (is_straight()) {
    along = std::clamp(Length::metres(dot(v - of(from_), {way_x_, way_y_})), Length::metres(0), length_);
  } else {
    const V off = v - of(centre_);
    const double angle = size(off) > 0 ? std::atan2(off.y, off.x) : start_;
    const double turned = turn_ > 0 ? around(angle - start_) : around(start_ - angle);
    if (turned <= std::abs(turn_)) along = Length::metres(turned * radius_->metres());
    // Beyond both ends: the nearer of them.
    else
      along = size(v - of(from_)) <= size(v - of(at(length_))) ? Length::metres(0) : length_;
    // A hair before the start of a ring is its start, not its end.
    if (closed_ && length_ - along <= kHair) along = Length::metres(0);
  }
  return {along, distance(p, at(along))};
}

Length Path::whole_along(const Point<Drawing>& p, Length near) const {
  if (is_straight()) return Length::metres(dot(of(p) - of(from_), {way_x_, way_y_}));
  const V off = of(p) - of(centre_);
  const double angle = size(off) > 0 ? std::atan2(off.y, off.x) : start_;
  const double turned = turn_ > 0 ? angle - start_ : start_ - angle, radius = radius_->metres();
  return Length::metres(radius * (turned + kTwoPi * std::round((near.metres() / radius - turned) / kTwoPi)));
}

std::optional<Path> Path::parallel(Length left, Length from, Length to) const {
  if (is_straight()) {
    if (to < from) return std::nullopt;
    const V aside = left.metres() * V{-way_y_, way_x_};
    return line(point(of(at(from)) + aside), point(of(at(to)) + aside));
  }
  const double sign = turn_ > 0 ? 1 : -1, radius = radius_->metres() - sign * left.metres(),
               turn = (to - from).metres() / radius_->metres();
  if (radius <= kLeastEnds || radius * turn <= kLeastEnds) return std::nullopt;
  Path path = *this;
  path.radius_ = Length::metres(radius);
  path.length_ = Length::metres(radius * turn);
  path.start_ = start_ + turn_ * (from / length_);
  path.turn_ = sign * turn;
  path.closed_ = closed_ && turn >= kTwoPi - kHairMetres / radius;
  path.from_ = path.at(Length::metres(0));
  return path;
}

Length Path::chord() const { return closed_ ? 2.0 * *radius_ : distance(from_, at(length_)); }

Length Path::rise() const {
  if (is_straight()) return Length::metres(0);
  if (closed_) return *radius_;
  return *radius_ * (1 - std::cos(turn_ / 2));
}

PlanBox box_of(const Path& path) {
  if (const auto r = path.radius()) {
    const Point<Drawing> c = *path.centre();
    return {c.at.x - *r, c.at.x + *r, c.at.y - *r, c.at.y + *r};
  }
  const Point<Drawing> a = path.at(Length::metres(0)), b = path.at(path.length());
  return {std::min(a.at.x, b.at.x), std::max(a.at.x, b.at.x), std::min(a.at.y, b.at.y),
          std::max(a.at.y, b.at.y)};
}

bool are_apart(const PlanBox& a, const PlanBox& b, Length gap) {
  return a.high_x < b.low_x - gap || b.high_x < a.low_x - gap || a.high_y < b.low_y - gap ||
         b.high_y < a.low_y - gap;
}

std::vector<Point<Drawing>> polyline(const Path& path, Length rise) {
  std::size_t joints = 1;
  if (const auto radius = path.radius()) {
    // Rise of a joint that turns by t: R (1 - cos(t / 2)).
    const double most = 2 * std::acos(std::max(0.0, 1 - rise.metres() / radius->metres()));
    const double turn = path.length().metres() / radius->metres();
    joints = most > 0 ? static_cast<std::size_t>(std::clamp(std::ceil(turn / most), 1.0, 720.0)) : 720;
  }
  std::vector<Point<Drawing>> out;
  for (std::size_t i = 0; i <= joints; ++i)
    out.push_back(path.at(path.length() * (static_cast<double>(i) / static_cast<double>(joints))));
  return out;
}

}  // namespace deckmark
