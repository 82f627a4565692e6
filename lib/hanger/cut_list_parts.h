#pragma once
/// Private to the room: packings in whole units.

#include <cstddef>
#include <cstdint>
#include <vector>

namespace deckmark::cut_detail {

using Units = std::int64_t;
/// Indices of items, a bin each.
using Packing = std::vector<std::vector<std::uint32_t>>;

/// Items of one length.
struct LengthClass {
  Units length;
  std::vector<std::uint32_t> items;
};

/// A packing problem; lengths from longest to shortest.
struct PackTask {
  std::vector<Units> lengths;
  Units room;
};

/// By dual feasible functions.
std::size_t quick_bound(const PackTask& task);
/// Minimum bin slack: each bin gets the longest item that is left and what fills it best.
Packing least_slack(const PackTask& task, const std::vector<std::uint32_t>& items, std::int64_t effort);
/// Column generation. Betters `best` where it can and raises `bound`.
void generate_patterns(const PackTask& task, Packing& best, std::size_t& bound);

}  // namespace deckmark::cut_detail
