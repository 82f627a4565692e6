#pragma once
/// What is to be done today, by the decision tables alone: every thing that stands or is wanted, one row.

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "standing.h"

namespace deckmark_test {

/// Where +X and +Y point on site, unit vectors.
struct DrawingAxes {
  double x_north = 0, x_east = 1, y_north = 1, y_east = 0;
  double north = 0, east = 0;  ///< the drawing's origin
};

struct Corner {
  double x = 0, y = 0;  ///< m
};
/// A no-drill zone: an outline, or a line of two corners; grown by its clearance.
struct DrillZone {
  std::string name;
  std::vector<Corner> corners;
  double clearance = 0;
};

struct TodayRules {
  double plan = 0.006, plumb = 0.006, rod = 0.005, old_hole = 0.3;  ///< m
  DrawingAxes axes;
  std::vector<DrillZone> zones;
  std::set<std::string> released;  ///< runs, bays, `all`
  std::vector<std::pair<std::string, std::vector<Corner>>> bays;
};

struct TodayRow {
  std::int64_t number = 0;
  std::string thing, what, why;  ///< floor, deck, hole, rod
  bool judged = false;           ///< against today's place; then the lengths hold
  double dx = 0, dy = 0, distance = 0, permitted = 0, sd = 0;  ///< m; of a rod its lack is dx
  const Thing* of = nullptr;
};

struct Today {
  std::vector<TodayRow> rows;
  /// A length lies so near to a limit, or two so near to each other, that the last digit decides.
  bool unclear = false;
  bool is_work() const;  ///< whether the status is 1
};

Today today_of(const IssuedNumbers& issued, const Standing& standing, const TodayRules& rules);

/// How far a place lies from a zone's outline or line; 0 within.
double distance_to(const DrillZone& zone, const Corner& at);
bool is_within(const std::vector<Corner>& outline, const Corner& at);

}  // namespace deckmark_test
