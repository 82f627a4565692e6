#pragma once
/// What the as-built stage found. Rows are named by index.

#include <cstdint>
#include <utility>
#include <vector>

#include "asbuilt/causes.h"
#include "asbuilt/compare.h"
#include "asbuilt/match.h"
#include "asbuilt/other_floor.h"
#include "asbuilt/runs.h"

namespace deckmark {

/// A shot of another floor.
struct SetAside {
  std::size_t shot = 0;
  std::uint32_t mark = 0;
  AsbuiltLevel level = AsbuiltLevel::floor;
};

struct AsbuiltFound {
  std::vector<AsbuiltRow> rows;        ///< one a shot that met its mark, in the order of the table
  std::vector<std::size_t> unmatched;  ///< shots that met none
  std::vector<AsbuiltPair> ambiguous;  ///< shots near a mark that is not theirs alone
  std::vector<std::uint32_t> missing;  ///< marks without any shot; not reference points
  std::vector<std::pair<std::size_t, std::size_t>>
      doubled;                           ///< rows of one mark at one level: the first, a later one
  std::vector<OtherFloor> other_floors;  ///< levels whose shots were taken on another floor
  std::vector<SetAside> aside;           ///< their shots, which are not judged: they have no row
  std::vector<LevelStatistics> levels;
  RunsResult runs;
  CausesResult causes;  ///< its shots are rows
};

}  // namespace deckmark
