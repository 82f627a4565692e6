#pragma once
#include <cmath>
#include <random>
#include <vector>

#include "plane/outline.h"
#include "plane/path.h"

namespace plane_test {

using namespace deckmark;

inline Length m(double v) { return Length::metres(v); }
inline Point<Drawing> at(double x, double y) { return {{.x = m(x), .y = m(y)}}; }

inline std::vector<Point<Drawing>> corners(std::initializer_list<std::pair<double, double>> list) {
  std::vector<Point<Drawing>> out;
  for (const auto& [x, y] : list) out.push_back(at(x, y));
  return out;
}

inline double uniform(std::mt19937_64& random, double low, double high) {
  return std::uniform_real_distribution<double>(low, high)(random);
}

/// A star-shaped outline round a centre: simple by its making.
inline std::vector<Point<Drawing>> random_star(std::mt19937_64& random) {
  const int n = std::uniform_int_distribution<int>(3, 12)(random);
  const double cx = uniform(random, -20, 20), cy = uniform(random, -20, 20), start = uniform(random, 0, 6.28);
  std::vector<Point<Drawing>> out;
  for (int i = 0; i < n; ++i) {
    const double angle = start + (i + uniform(random, 0.05, 0.95)) * 6.283185307179586 / n,
                 r = uniform(random, 0.5, 8);
    out.push_back(at(cx + r * std::cos(angle), cy + r * std::sin(angle)));
  }
  if (std::uniform_int_distribution<int>(0, 1)(random) == 1) out = {out.rbegin(), out.rend()};
  return out;
}

}  // namespace plane_test
