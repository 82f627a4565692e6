#pragma once
/// Records of a job's tables as their rows state them. Data only.

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "baseline/fit.h"
#include "measure/frame.h"
#include "table/message.h"

namespace deckmark {

struct ControlPoint {
  std::string name;
  Point<Site> at;
  std::optional<Elevation> elevation;
  std::optional<Length> sd;
};

/// Where a tie was found on site: its own mark, or one of the two opposite faces of a column.
struct FoundMark {
  std::string name;
  std::optional<Point<Site>> at;  ///< empty: as the setups sighted that name
  Length sd_northing = Length::metres(0), sd_easting = Length::metres(0);  ///< of a side shot, where typed
  std::string setup;        ///< the one whose sights count; empty: all
  std::uint32_t begin = 0;  ///< of its row
};

/// A tie as its row states it, or as the two rows of a column do.
struct KeyedTie {
  std::string name;
  std::optional<Length> x, y;  ///< one of the two at least
  Length sd_x, sd_y;           ///< of x and y; of the found mark too where its coordinates are typed
  Length tolerance;
  bool own_tolerance = false;    ///< stated in its row
  std::vector<FoundMark> found;  ///< one or two
};

/// A tie with its place on site.
struct NamedTie {
  std::string name;
  Tie tie;
  bool own_tolerance = false;  ///< stated in its row
};

/// A point given in site or in drawing coordinates.
using StatedPlace = std::variant<Point<Site>, Point<Drawing>>;

/// A deck shot as its row states it. It has a place and an elevation, or neither: then it is as the setups
/// sighted that name.
struct KeyedShot {
  std::string name;
  std::optional<StatedPlace> at;
  std::optional<Elevation> elevation;
  std::string bay;    ///< empty where it names none
  std::string setup;  ///< the one whose sights count; empty: all
};

struct StatedShot {
  std::string name;
  StatedPlace at;
  Elevation elevation;
  std::string bay;                     ///< empty where it names none
  std::optional<Where> measured_at{};  ///< the reading's cell, of one that level or laser measured at a mark
};

/// A place on site or in the drawing, or an offset from the floor mark along +X, +Y.
using MarkPlace = std::variant<Point<Site>, Point<Drawing>, Vec<Drawing>>;

/// Turns of a plumb laser's housing at which a deck mark may be repeated, degrees.
inline constexpr int kHousingTurns[] = {0, 90, 180, 270};

/// A measured deck mark as its row states it.
struct KeyedDeckMark {
  std::string point;            ///< name, floor number or deck number
  std::optional<MarkPlace> at;  ///< empty: as the setups sighted it
  std::optional<Elevation> elevation;
  std::optional<Length> sd;
  std::optional<Point<Site>> floor;  ///< the floor mark as measured
  std::string setup;                 ///< the one whose sights count; empty: all
  std::optional<int> turn{};         ///< of the laser's housing, one of `kHousingTurns`
  bool is_own = false;               ///< measured by who made it, or from the setup from which it was made
};

/// A measured deck mark with its place.
struct StatedDeckMark {
  std::string point;  ///< name, floor number or deck number
  MarkPlace at;
  std::optional<Elevation> elevation;
  std::optional<Length> sd;
  std::optional<Point<Site>> floor;        ///< the floor mark as measured
  std::optional<std::size_t> net_point{};  ///< where the place was read by the setups
  std::optional<int> turn{};               ///< as above
  bool is_own = false;                     ///< as above
};

}  // namespace deckmark
