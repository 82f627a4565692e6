#pragma once
/// What a job says of heights by level and laser. Data only.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "asbuilt/options.h"
#include "heights/heights.h"
#include "job/keys/stated.h"
#include "job/read_table.h"
#include "measure/frame.h"

namespace deckmark {

struct KeyedBenchmark {
  std::string point;
  Elevation elevation;
  std::optional<Length> sd;  ///< DEFAULT it is held
};

/// What a staff was read on, as its row states it.
struct KeyedTarget {
  std::string name;                   ///< benchmark, name, floor number, deck number, or free
  std::optional<AsbuiltLevel> level;  ///< where the row states one
};

struct KeyedLevelReading {
  std::string setup;
  KeyedTarget target;
  bool is_back = false;
  Length reading;
  std::optional<Length> distance;
};

struct KeyedLaserReading {
  std::string laser;
  KeyedTarget target;
  Length reading;
  bool is_above = false;
  Length distance;
  std::optional<Housing> housing;
};

/// Section `[heights]`.
struct HeightsJob {
  bool wanted = false;         ///< it names a table of readings, readable or not
  bool measures_deck = false;  ///< some reading is of the deck
  HeightOptions options;
  std::string beam;  ///< as the laser's papers have it: `3 mm at 10 m`
  ReadTable benchmarks_table, level_table, laser_table;
  std::vector<KeyedBenchmark> benchmarks;
  std::vector<KeyedLevelReading> level;
  std::vector<KeyedLaserReading> laser;
};

}  // namespace deckmark
