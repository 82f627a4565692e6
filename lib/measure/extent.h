#pragma once
/// How far points reach along the axes of their frame.

#include <algorithm>

#include "measure/frame.h"

namespace deckmark {

/// The smallest rectangle along the axes of frame F that holds the points taken.
template <class F>
class Extent {
 public:
  void take(const Point<F>& p) {
    if (empty_) least_ = most_ = p;
    empty_ = false;
    const auto& [a, b] = p.at;
    auto& [low_a, low_b] = least_.at;
    auto& [high_a, high_b] = most_.at;
    low_a = std::min(low_a, a), low_b = std::min(low_b, b);
    high_a = std::max(high_a, a), high_b = std::max(high_b, b);
  }
  bool empty() const { return empty_; }
  /// Corners. REQUIRES not empty, as all below.
  const Point<F>& least() const { return least_; }
  const Point<F>& most() const { return most_; }
  Length diagonal() const { return distance(least_, most_); }
  /// As much larger on every side.
  Extent widened(Length by) const {
    Extent out = *this;
    auto& [low_a, low_b] = out.least_.at;
    auto& [high_a, high_b] = out.most_.at;
    low_a = low_a - by, low_b = low_b - by;
    high_a = high_a + by, high_b = high_b + by;
    return out;
  }
  /// Inside or on an edge.
  bool holds(const Point<F>& p) const {
    const auto& [a, b] = p.at;
    const auto& [low_a, low_b] = least_.at;
    const auto& [high_a, high_b] = most_.at;
    return a >= low_a && a <= high_a && b >= low_b && b <= high_b;
  }
  /// How far a point lies outside; 0 inside and on an edge.
  Length beyond(const Point<F>& p) const {
    const auto& [a, b] = p.at;
    const auto& [low_a, low_b] = least_.at;
    const auto& [high_a, high_b] = most_.at;
    const Length none = Length::metres(0);
    return hypot(std::max({low_a - a, a - high_a, none}), std::max({low_b - b, b - high_b, none}));
  }

 private:
  Point<F> least_{{Length::metres(0), Length::metres(0)}}, most_ = least_;
  bool empty_ = true;
};

}  // namespace deckmark
