#include "shape/run_shape.h"

#include <algorithm>
#include <optional>
#include <utility>

#include "shape/evenness.h"

namespace deckmark::shape_detail {

namespace {

constexpr double kLeastLength = 0.1;     // of a run: nearer than this points show no direction
constexpr double kMostRadius = 500;      // a flatter arc is told from a line by no drawing
constexpr std::size_t kAllTriples = 8;   // runs up to this long are tried triple by triple
constexpr std::size_t kAllPairs = 9;     // likewise by pairs
constexpr std::size_t kLeastCircle = 5;  // points on it: through three there is always one, near four often

std::size_t count_kept(const RunPoints& run, const RunShape& s, double tolerance) {
  std::size_t kept = 0;
  for (std::size_t k = 0; k < run.size(); ++k) kept += std::abs(s.aside(run[k])) <= tolerance;
  return kept;
}

std::optional<RunShape> line_through(Plan a, Plan b) {
  const double length = size(b - a);
  if (length < kLeastLength) return std::nullopt;
  RunShape s;
  s.kind = RunShape::Kind::line;
  s.at = a, s.way = (1 / length) * (b - a);
  return s;
}

std::optional<RunShape> circle_through(Plan a, Plan b, Plan c) {
  const Plan u = b - a, v = c - a;
  const double twice = 2 * cross(u, v);
  if (std::abs(twice) < 1e-6) return std::nullopt;
  const Plan centre{(v.y * dot(u, u) - u.y * dot(v, v)) / twice, (u.x * dot(v, v) - v.x * dot(u, u)) / twice};
  RunShape s;
  s.kind = RunShape::Kind::circle;
  s.at = a + centre, s.radius = size(centre);
  if (s.radius > kMostRadius || s.radius < kLeastLength) return std::nullopt;
  return s;
}

/// Least squares over the points that keep to it: total of a line, algebraic of a circle about their mean.
RunShape refined(const RunPoints& run, const RunShape& s, double tolerance) {
  Plan mean{};
  double n = 0;
  const auto keeps = [&](std::size_t k) { return std::abs(s.aside(run[k])) <= tolerance; };
  for (std::size_t k = 0; k < run.size(); ++k)
    if (keeps(k)) n += 1, mean = mean + run[k];
  if (n < 2) return s;
  mean = (1 / n) * mean;
  double xx = 0, xy = 0, yy = 0, xq = 0, yq = 0, q = 0;
  for (std::size_t k = 0; k < run.size(); ++k) {
    if (!keeps(k)) continue;
    const Plan p = run[k] - mean;
    const double square = dot(p, p);
    xx += p.x * p.x, xy += p.x * p.y, yy += p.y * p.y;
    xq += p.x * square, yq += p.y * square, q += square;
  }
  RunShape out = s;
  if (s.kind == RunShape::Kind::line) {
    const double turn = 0.5 * std::atan2(2 * xy, xx - yy);
    Plan way{std::cos(turn), std::sin(turn)};
    if (dot(way, s.way) < 0) way = -1 * way;
    out.at = mean, out.way = way;
    return out;
  }
  const double det = xx * yy - xy * xy;
  if (det <= 1e-12 * xx * yy) return s;
  const Plan c{(xq * yy - yq * xy) / (2 * det), (yq * xx - xq * xy) / (2 * det)};
  out.at = mean + c, out.radius = std::sqrt(dot(c, c) + q / n);
  return out;
}

/// The best of the candidates that are tried.
class Best {
 public:
  Best(const RunPoints& run, double tolerance) : run_(run), tolerance_(tolerance) {}
  void attempt(const std::optional<RunShape>& s) {
    if (!s || count_kept(run_, *s, 3 * tolerance_) <= kept_) return;
    RunShape fine = refined(run_, refined(run_, *s, 3 * tolerance_), tolerance_);
    const std::size_t kept = count_kept(run_, fine, tolerance_);
    if (kept > kept_) kept_ = kept, shape_ = fine;
  }
  bool is_whole() const { return kept_ == run_.size(); }
  /// The shape with what is off; nothing where more points are off than may be, or fewer than `least` keep to
  /// it.
  std::optional<RunShape> taken(std::size_t least) {
    const std::size_t n = run_.size();
    if (kept_ < least || n - kept_ > may_break(n)) return std::nullopt;
    for (std::uint32_t k = 0; k < n; ++k)
      if (std::abs(shape_.aside(run_[k])) > tolerance_) shape_.off.push_back(k);
    shape_.is_weak = kept_ < 4;
    return shape_;
  }

 private:
  const RunPoints& run_;
  double tolerance_;
  RunShape shape_;
  std::size_t kept_ = 0;
};

std::optional<RunShape> line_of(const RunPoints& run, double tolerance) {
  const std::size_t n = run.size();
  Best best(run, tolerance);
  if (n <= kAllPairs) {
    for (std::size_t span = n - 1; span > 0 && !best.is_whole(); --span)
      for (std::size_t i = 0; i + span < n && !best.is_whole(); ++i)
        best.attempt(line_through(run[i], run[i + span]));
  } else {
    const std::pair<std::size_t, std::size_t> pairs[] = {
        {0, n - 1},         {1, n - 2},         {2, n - 3},        {0, n / 2},
        {n / 2 + 1, n - 2}, {n / 4, 3 * n / 4}, {n / 3, 2 * n / 3}};
    for (const auto& [i, j] : pairs)
      if (!best.is_whole()) best.attempt(line_through(run[i], run[j]));
  }
  auto found = best.taken(3);
  if (found && dot(run[n - 1] - run[0], found->way) < 0) found->way = -1 * found->way;
  return found;
}

std::optional<RunShape> circle_of(const RunPoints& run, double tolerance) {
  const std::size_t n = run.size();
  if (n < kLeastCircle) return std::nullopt;
  Best best(run, tolerance);
  if (n <= kAllTriples) {
    for (std::size_t i = 0; i < n; ++i)
      for (std::size_t j = i + 1; j < n; ++j)
        for (std::size_t k = j + 1; k < n && !best.is_whole(); ++k)
          best.attempt(circle_through(run[i], run[j], run[k]));
    return best.taken(kLeastCircle);
  }
  for (std::size_t i = 0; i < std::min<std::size_t>(n / 3, 7) && !best.is_whole(); ++i)
    best.attempt(circle_through(run[i], run[i + n / 3], run[i + 2 * (n / 3)]));
  for (std::size_t i = 1; i <= std::min<std::size_t>(n / 4, 4) && !best.is_whole(); ++i)
    best.attempt(circle_through(run[i], run[n / 2], run[n - 1 - i]));
  return best.taken(kLeastCircle);
}

}  // namespace

bool RunShape::is_off(std::uint32_t k) const { return std::binary_search(off.begin(), off.end(), k); }

double RunShape::aside(Plan p) const {
  return kind == Kind::line ? cross(way, p - at) : size(p - at) - radius;
}

RunShape shape_of(const RunPoints& run, double tolerance) {
  if (run.size() < 3) return {};
  if (auto line = line_of(run, tolerance)) return *std::move(line);
  if (auto circle = circle_of(run, tolerance)) return *std::move(circle);
  return {};
}

Plan foot(const RunShape& s, Plan p) {
  if (s.kind == RunShape::Kind::line) return s.at + dot(p - s.at, s.way) * s.way;
  const Plan out = p - s.at;
  const double from = size(out);
  return from > 0 ? s.at + (s.radius / from) * out : s.at + Plan{s.radius, 0};
}

}  // namespace deckmark::shape_detail
