#pragma once
#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <random>
#include <vector>

#include "hanger/spacing.h"
#include "measure/verdict.h"
#include "plane/path.h"

namespace hanger_test {

using namespace deckmark;

inline Length m(double v) { return Length::metres(v); }
inline Point<Drawing> at(double x, double y) { return {{.x = m(x), .y = m(y)}}; }
inline std::vector<Length> all(std::initializer_list<double> v) {
  std::vector<Length> out;
  for (const double d : v) out.push_back(m(d));
  return out;
}
inline std::vector<double> metres(const std::vector<Length>& l) {
  std::vector<double> out;
  for (const Length v : l) out.push_back(v.metres());
  return out;
}
inline double uniform(std::mt19937_64& random, double low, double high) {
  return std::uniform_real_distribution<double>(low, high)(random);
}
inline bool coin(std::mt19937_64& random) { return std::uniform_int_distribution<int>(0, 1)(random) == 1; }
inline Outline rectangle(double x0, double y0, double x1, double y1) {
  const std::vector<Point<Drawing>> c{at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1)};
  return std::get<Outline>(Outline::make(c));
}

}  // namespace hanger_test
