#pragma once
/// Private to the room: what breaks the evenness of a row of values.

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace deckmark::shape_detail {

/// A value in its row: the distance of a point along its run, or of a run across its family; metres.
struct Value {
  std::uint32_t index;  ///< its place in the row; values that are not known are left out
  double at;
};

struct Lattice {
  double start, step;
  double at(double index) const { return start + index * step; }
};

/// A value that breaks the row.
struct OddValue {
  std::uint32_t index;
  double at, expected;
  bool is_end = false;     ///< the first or last: it may be an end bay by design
  double by_step = 0;      ///< of an end: where the step alone has it
  bool is_either = false;  ///< or the other end is the wrong one: two ends that differ from one another
};

struct Evenness {
  enum class Kind : std::uint8_t { none, even, parts } kind = Kind::none;  ///< parts: of several spaces
  std::optional<Lattice> lattice;                                          ///< of `even`
  std::size_t kept = 0;                                                    ///< values that keep to it
  bool is_weak = false;          ///< three of four: other runs have to speak for it
  std::vector<OddValue> odd;     ///< by index
  std::vector<double> end_bays;  ///< spaces at the ends that differ from the rest by design
};

/// How many of n may break a pattern.
std::size_t may_break(std::size_t n);

/// Values in the order of their indexes. `closed`: a ring, which has no end bays. A step is at least 50 mm.
[[nodiscard]] Evenness evenness_of(std::span<const Value> row, double tolerance, bool closed);

}  // namespace deckmark::shape_detail
