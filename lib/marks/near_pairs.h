#pragma once
/// Points that lie near one another in plan: pairs of one set, pairs between two, the nearest and how alone
/// it is.
///
/// REQUIRES  finite coordinates, limits above zero, fewer than 2^31 points a set.

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

#include "measure/frame.h"

namespace deckmark {

struct NearPair {
  std::uint32_t first, later;  ///< indexes; first < later
};

/// Every point that has an earlier one nearer than `limit`, with such a one, in the order of the later point.
///
/// Method  a hashed grid with cells twice `limit` wide: one look at 4 cells a point, whatever the drawing's
///         size and however the points lie.
/// CAVEAT  exactly at the limit is not near (with a hair of 1e-9 m).
[[nodiscard]] std::vector<NearPair> near_pairs(std::span<const Point<Drawing>> points, Length limit);

/// A point of one set and one of another, by index.
struct PairWithin {
  std::uint32_t of, among;
};

/// Every pair of a point of `of` and a point of `among` no further apart than `limit`, nearest first; those
/// that are as far apart in the order of `of`, then of `among`.
[[nodiscard]] std::vector<PairWithin> pairs_within(std::span<const Point<Drawing>> of,
                                                   std::span<const Point<Drawing>> among, Length limit);
[[nodiscard]] std::vector<PairWithin> pairs_within(std::span<const Point<Site>> of,
                                                   std::span<const Point<Site>> among, Length limit);

struct NearestPoint {
  std::uint32_t index;
  bool is_alone;  ///< no other is as near, to 1e-9 m
};

/// For every point of `of` the nearest of `among`; none where that is further than `limit`.
///
/// Speed   100,000 among as many well under a second; a few among a million no more than one look at each.
[[nodiscard]] std::vector<std::optional<NearestPoint>> nearest_points(std::span<const Point<Site>> of,
                                                                      std::span<const Point<Site>> among,
                                                                      Length limit);

}  // namespace deckmark
