#pragma once
/// Records of a job's tables as their rows state them. Data only.

#include <optional>
#include <string>
#include <variant>

#include "baseline/fit.h"
#include "measure/frame.h"

namespace deckmark {

struct ControlPoint {
  std::string name;
  Point<Site> at;
  std::optional<Elevation> elevation;
  std::optional<Length> sd;
};

struct NamedTie {
  std::string name;
  Tie tie;
  bool own_tolerance = false;  ///< stated in its row
};

/// A point given in site or in drawing coordinates.
using StatedPlace = std::variant<Point<Site>, Point<Drawing>>;

struct StatedShot {
  std::string name;
  StatedPlace at;
  Elevation elevation;
  std::string bay;  ///< empty where it names none
};

/// A measured deck mark as its row states it. `at` may be the offset from the floor mark along +X, +Y.
struct StatedDeckMark {
  std::string point;  ///< name, floor number or deck number
  std::variant<Point<Site>, Point<Drawing>, Vec<Drawing>> at;
  std::optional<Elevation> elevation;
  std::optional<Length> sd;
  std::optional<Point<Site>> floor;  ///< the floor mark as measured
};

}  // namespace deckmark
