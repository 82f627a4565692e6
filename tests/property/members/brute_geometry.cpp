#include "brute_geometry.h"

#include <algorithm>
#include <cmath>

namespace deckmark_test {

namespace {

constexpr double kStep = 1e-4;  // half the way between the two places that give a direction
constexpr double kScan = 0.08;  // between the places of a scan
constexpr double kSame = 1e-6;  // two findings nearer than this are one
constexpr double kTurn = 6.28318530717958647693;

struct Scan {
  std::vector<double> along;
  std::vector<Spot> spots;
};
Scan scan(const Beside& line, Window in) {
  const auto parts = static_cast<std::size_t>(std::max(2.0, std::ceil((in.to - in.from) / kScan)));
  Scan out;
  for (std::size_t i = 0; i <= parts; ++i) {
    out.along.push_back(in.from + (in.to - in.from) * static_cast<double>(i) / static_cast<double>(parts));
    out.spots.push_back(line.at(out.along.back()));
  }
  return out;
}

/// Whether two chords meet, or come near to it beyond their ends; `s` and `t` say where, as parts of them.
bool chords_meet(Spot a, Spot b, Spot c, Spot d, double& s, double& t) {
  if (std::max(a.x, b.x) + kScan < std::min(c.x, d.x) || std::max(c.x, d.x) + kScan < std::min(a.x, b.x) ||
      std::max(a.y, b.y) + kScan < std::min(c.y, d.y) || std::max(c.y, d.y) + kScan < std::min(a.y, b.y))
    return false;
  const double sine = cross(b - a, d - c);
  if (std::abs(sine) < 1e-12) return false;
  s = cross(c - a, d - c) / sine;
  t = cross(c - a, b - a) / sine;
  const double over = 0.2;
  return s > -over && s < 1 + over && t > -over && t < 1 + over;
}

/// How fast one walks along a line while its run's place moves on.
Spot pace(const Beside& line, double along) {
  return (0.5 / kStep) * (line.at(along + kStep) - line.at(along - kStep));
}

/// Steps along both tangents to their meeting until nothing moves; nothing where they never come together.
std::optional<Meeting> closed_in(const Beside& a, const Beside& b, double first, double second) {
  for (int i = 0; i < 30; ++i) {
    const Spot gap = b.at(second) - a.at(first), u = pace(a, first), v = pace(b, second);
    const double turn = cross(u, v);
    if (std::abs(turn) < 1e-6) return std::nullopt;
    const double ds = cross(gap, v) / turn, dt = cross(gap, u) / turn;
    first += ds, second += dt;
    if (std::abs(ds) + std::abs(dt) < 1e-9) break;
  }
  if (distance(a.at(first), b.at(second)) > 1e-8) return std::nullopt;
  return Meeting{first, second, std::abs(cross(a.way(first), b.way(second)))};
}

}  // namespace

Spot operator+(Spot a, Spot b) { return {a.x + b.x, a.y + b.y}; }
Spot operator-(Spot a, Spot b) { return {a.x - b.x, a.y - b.y}; }
Spot operator*(double by, Spot a) { return {by * a.x, by * a.y}; }
double distance(Spot a, Spot b) { return std::hypot(a.x - b.x, a.y - b.y); }
double cross(Spot a, Spot b) { return a.x * b.y - a.y * b.x; }
double dot(Spot a, Spot b) { return a.x * b.x + a.y * b.y; }

RunLine RunLine::straight(Spot from, Spot to) {
  RunLine out;
  out.from_ = from, out.to_ = to, out.length_ = distance(from, to);
  return out;
}

RunLine RunLine::round(Spot centre, double radius, double direction, double turn) {
  RunLine out;
  out.from_ = centre, out.radius_ = radius, out.direction_ = direction, out.turn_ = turn;
  out.length_ = radius * std::abs(turn);
  return out;
}

Spot RunLine::at(double along) const {
  if (is_straight()) return from_ + (along / length_) * (to_ - from_);
  const double angle = direction_ + turn_ * (along / length_);
  return from_ + radius_ * Spot{std::cos(angle), std::sin(angle)};
}

Spot RunLine::way(double along) const {
  const Spot step = at(along + kStep) - at(along - kStep);
  return (1 / std::hypot(step.x, step.y)) * step;
}

std::optional<double> RunLine::round_length() const {
  if (is_straight()) return std::nullopt;
  return radius_ * kTurn;
}

RunLine RunLine::walked_back() const {
  return is_straight() ? straight(to_, from_) : round(from_, radius_, direction_ + turn_, -turn_);
}

Spot Beside::at(double along) const {
  const Spot way = run.way(along);
  return run.at(along) + left * Spot{-way.y, way.x};
}

Spot Beside::way(double along) const {
  const Spot step = at(along + kStep) - at(along - kStep);
  return (1 / std::hypot(step.x, step.y)) * step;
}

double Beside::length(double from, double to) const {
  const double size = std::abs(to - from);
  const int parts = run.is_straight() ? 2 : std::clamp(static_cast<int>(std::ceil(size / 0.2)), 4, 400);
  const auto chords = [&](int n) {
    double sum = 0;
    Spot last = at(from);
    for (int i = 1; i <= n; ++i) {
      const Spot next = at(from + (to - from) * i / n);
      sum += distance(last, next);
      last = next;
    }
    return sum;
  };
  // What chords lack falls with the square of their number: two sums tell it.
  const double coarse = chords(parts), fine = chords(2 * parts);
  return (to < from ? -1 : 1) * (fine + (fine - coarse) / 3);
}

double Beside::after(double from, double distance_on) const {
  double along = from + distance_on;
  for (int i = 0; i < 60; ++i) {
    const double lack = distance_on - length(from, along);
    along += lack;
    if (std::abs(lack) < 1e-9) break;
  }
  return along;
}

double Beside::nearest(Spot spot, double from, double to) const {
  const Scan places = scan(*this, {from, to});
  std::size_t best = 0;
  for (std::size_t i = 1; i < places.spots.size(); ++i)
    if (distance(spot, places.spots[i]) < distance(spot, places.spots[best])) best = i;
  double low = places.along[best == 0 ? 0 : best - 1];
  double high = places.along[std::min(best + 1, places.along.size() - 1)];
  // Before the nearest place one walks toward the spot, behind it away from it.
  for (int i = 0; i < 60; ++i) {
    const double middle = (low + high) / 2;
    (dot(spot - at(middle), way(middle)) > 0 ? low : high) = middle;
  }
  return (low + high) / 2;
}

std::vector<Meeting> meetings(const Beside& a, Window in_a, const Beside& b, Window in_b) {
  std::vector<Meeting> out;
  const Scan of_a = scan(a, in_a), of_b = scan(b, in_b);
  for (std::size_t i = 1; i < of_a.spots.size(); ++i)
    for (std::size_t j = 1; j < of_b.spots.size(); ++j) {
      double s = 0, t = 0;
      if (!chords_meet(of_a.spots[i - 1], of_a.spots[i], of_b.spots[j - 1], of_b.spots[j], s, t)) continue;
      const auto met = closed_in(a, b, of_a.along[i - 1] + s * (of_a.along[i] - of_a.along[i - 1]),
                                 of_b.along[j - 1] + t * (of_b.along[j] - of_b.along[j - 1]));
      if (!met || met->first < in_a.from - kSame || met->first > in_a.to + kSame ||
          met->second < in_b.from - kSame || met->second > in_b.to + kSame)
        continue;
      const bool known = std::any_of(out.begin(), out.end(), [&](const Meeting& m) {
        return std::abs(m.first - met->first) + std::abs(m.second - met->second) < 1e-5;
      });
      if (!known) out.push_back(*met);
    }
  return out;
}

}  // namespace deckmark_test
