// Which corners make an outline.
#include <optional>

#include "plane/outline.h"
#include "plane/plane_vector.h"

namespace deckmark {

using namespace plane_detail;

namespace {

using Kind = OutlineFault::Kind;

/// What is wrong at single corners: repetitions and edges that fold back.
std::optional<OutlineFault> corner_fault(const std::vector<V>& c) {
  const std::size_t n = c.size();
  for (std::size_t i = 1; i < n; ++i)
    if (size(c[i] - c[i - 1]) <= kHairMetres) return OutlineFault{Kind::repeated, i, i - 1};
  for (std::size_t i = 0; i < n; ++i) {
    const V before = c[(i + n - 1) % n], after = c[(i + 1) % n];
    if (segment_distance(after, before, c[i]) <= kHairMetres ||
        segment_distance(before, c[i], after) <= kHairMetres)
      return OutlineFault{Kind::folds_back, i, i};
  }
  return std::nullopt;
}

/// How two edges that are no neighbours meet.
std::optional<OutlineFault> edge_fault(const std::vector<V>& c, std::size_t i, std::size_t j) {
  const std::size_t n = c.size();
  const V a = c[i], b = c[(i + 1) % n], p = c[j], q = c[(j + 1) % n];
  if (segment_distance(p, a, b) <= kHairMetres) return OutlineFault{Kind::touches, j, i};
  if (segment_distance(q, a, b) <= kHairMetres) return OutlineFault{Kind::touches, (j + 1) % n, i};
  if (segment_distance(a, p, q) <= kHairMetres) return OutlineFault{Kind::touches, i, j};
  if (segment_distance(b, p, q) <= kHairMetres) return OutlineFault{Kind::touches, (i + 1) % n, j};
  if (cross_properly(a, b, p, q)) return OutlineFault{Kind::crosses, j, i};
  return std::nullopt;
}

double twice_area(const std::vector<V>& c) {
  double sum = 0;
  for (std::size_t i = 0; i < c.size(); ++i) sum += cross(c[i] - c[0], c[(i + 1) % c.size()] - c[0]);
  return sum;
}

}  // namespace

std::variant<Outline, OutlineFault> Outline::make(std::span<const Point<Drawing>> corners) {
  std::vector<Point<Drawing>> kept(corners.begin(), corners.end());
  if (kept.size() > 3 && distance(kept.front(), kept.back()) <= kHair) kept.pop_back();
  if (kept.size() < 3) return OutlineFault{Kind::too_few, corners.empty() ? 0 : corners.size() - 1, 0};
  if (kept.size() > kMostCorners) return OutlineFault{Kind::too_many, kMostCorners, 0};
  std::vector<V> c;
  c.reserve(kept.size());
  for (const Point<Drawing>& p : kept) c.push_back(of(p));
  if (const auto fault = corner_fault(c)) return *fault;
  const std::size_t n = c.size();
  double around = 0;
  for (std::size_t i = 0; i < n; ++i) around += size(c[(i + 1) % n] - c[i]);
  for (std::size_t j = 2; j < n; ++j)
    for (std::size_t i = 0; i + 1 < j; ++i)
      if (!(i == 0 && j == n - 1))
        if (const auto fault = edge_fault(c, i, j)) return *fault;
  if (std::abs(twice_area(c)) <= kHairMetres * around)
    return OutlineFault{Kind::no_area, corners.size() - 1, 0};
  return Outline(std::move(kept));
}

}  // namespace deckmark
