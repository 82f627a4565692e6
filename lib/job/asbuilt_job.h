#pragma once
/// What a job says of as-built shots. Data only.

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "asbuilt/options.h"
#include "marks/marks.h"
#include "measure/frame.h"

namespace deckmark {

/// A place that no row types: the one that the setups sighted by the shot's name.
struct AsSighted {};

/// How far a mark lies from its design: along +X, +Y on site, and in elevation where that is stated.
struct OffDesign {
  Vec<Drawing> by;
  std::optional<Length> up;
};

/// One shot as its row states it. Its words stand in columns beside it.
struct StatedAsbuilt {
  std::variant<Point<Site>, Point<Drawing>, OffDesign, AsSighted> at;
  std::optional<Elevation> elevation;
  std::optional<AsbuiltLevel> level;  ///< where the row states one
  std::optional<Length> sd;           ///< per axis
  std::optional<std::int64_t> time;   ///< seconds, of use for the order alone
  bool is_off_design = false;  ///< its place is stated by how far it is off: its sd holds that of the design
  std::optional<std::size_t> net_point{};  ///< where the place was read by the setups
  bool is_by_maker = false;                ///< who shot it made the mark
};

/// The shots of a job, in the order of their table.
struct AsbuiltShots {
  TextColumn points;  ///< name, floor number or deck number
  std::vector<StatedAsbuilt> rows;
  WordColumn setups{WordCase::any}, marked_from{WordCase::any}, reflectors{WordCase::any},
      crews{WordCase::any}, times;
  std::vector<std::uint32_t> begins;

  std::size_t size() const { return rows.size(); }
  void reserve(std::size_t n);
  void append(AsbuiltShots&& other);
};

/// Section `[asbuilt]`.
struct AsbuiltJob {
  AsbuiltOptions options;
  std::shared_ptr<const Table> table;  ///< none where the job names no shots
  AsbuiltShots shots;
};

}  // namespace deckmark
