#pragma once
/// Private to the room: lengths that hang together through their marks, and their free adjustment.

#include <cstddef>
#include <span>
#include <utility>
#include <vector>

#include "adjust/solve.h"
#include "baseline/length_net.h"

namespace deckmark {

/// Sides that hang together through their marks, of those that are alike the first alone.
struct Network {
  std::vector<std::size_t> sides, marks;
};
std::vector<Network> networks_of(std::span<const MeasuredSide> sides, std::size_t marks);

/// One network in plain metres; unknowns are x, y of every mark in turn.
class FreeNet {
 public:
  FreeNet(const Network& network, std::span<const MeasuredSide> sides,
          std::span<const Point<Drawing>> places);

  struct Adjusted {
    std::vector<std::size_t> rows, free;  ///< the lengths that count; the unknowns that they determine
    NonlinearSolution fit;                ///< of these
    std::vector<double> at;               ///< every unknown; what the lengths leave open stays as drawn
  };
  /// The adjustment of the lengths that are kept.
  Adjusted adjusted(const std::vector<bool>& kept) const;
  NonlinearSolution fitted(const std::vector<bool>& kept) const { return adjusted(kept).fit; }
  /// Whether each length has a direction: its marks stand apart in the drawing.
  std::vector<bool> usable() const;

  /// Derivatives of lengths by unknowns, at these places.
  Matrix design_of(const std::vector<std::size_t>& rows, const std::vector<std::size_t>& unknowns,
                   const std::vector<double>& at) const;
  /// Of the length as measured against the drawing.
  double off_the_drawing(std::size_t i) const { return measured_[i] - drawn_[i]; }
  double sd(std::size_t i) const { return sds_[i]; }
  const std::vector<double>& drawn_at() const { return start_; }

 private:
  double span(std::size_t i, const std::vector<double>& at) const;
  std::vector<std::size_t> free_unknowns(const std::vector<std::size_t>& rows,
                                         std::span<const double> sds) const;

  std::vector<double> start_, drawn_, measured_, sds_;
  std::vector<std::pair<std::size_t, std::size_t>> ends_;
};

}  // namespace deckmark
