#pragma once
/// Inside the room: the equations of a net about where it stands, and its least-squares solution.

#include <array>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "adjust/blocks.h"
#include "station/net.h"
#include "station/net_start.h"

namespace deckmark::net {

/// What a reading or a statement says of the net.
enum class RowKind : std::uint8_t {
  circle,
  distance,  ///< without a zenith angle
  reach,     ///< horizontal distance and height difference, correlated: two equations
  zenith,    ///< without a distance
  mark,      ///< a setup over its mark: northing, easting
  mark_height,
  own,  ///< where an instrument says it is: northing, easting
  own_height,
  control,  ///< stated northing, easting
  control_height,
  face  ///< what two faces of a sight say of the instrument
};

/// Whether a row is what a setup read of a point.
inline bool is_sight(RowKind kind) {
  return kind == RowKind::circle || kind == RowKind::distance || kind == RowKind::reach ||
         kind == RowKind::zenith;
}

struct Row {
  RowKind kind = RowKind::circle;
  std::size_t setup = 0, sight = 0, point = 0;
  std::size_t first = 0, count = 1;  ///< equations
  /// Of what was read: v = root * weighted v, lower triangle: [0][0], [1][0], [1][1].
  std::array<double, 3> root{};
};

/// Which sights take part, and to which point: a name that two setups see at two places is two points.
struct Part {
  std::vector<std::vector<std::optional<std::size_t>>> point;  ///< of each sight; empty: takes no part
  std::size_t points = 0;                                      ///< with those that were split off
  /// Sights to control that fall far from it were split off too: with them nothing settled.
  bool doubts_control = false;
};

/// Values of the unknowns, from the centre; radians.
struct Values {
  struct Setup {
    double n = 0, e = 0, turn = 0, axis = 0;
  };
  struct Point {
    double n = 0, e = 0, h = 0;
  };
  std::vector<Setup> setups;
  std::vector<Point> points;
  double collimation = 0, index = 0;
};

/// Numbers of the unknowns; none: held, or not in the net.
struct Unknowns {
  std::vector<std::array<std::optional<std::size_t>, 4>> setups;  ///< n, e, turn, axis
  std::vector<std::array<std::optional<std::size_t>, 3>> points;  ///< n, e, h
  std::optional<std::size_t> collimation, index;  ///< of the instrument, where sights in one face need them
  std::size_t count = 0;
  std::vector<std::optional<std::size_t>> blocks;
};

/// Errors that are fitted beside the net's unknowns: what a search for wrong readings has named.
struct Extra {
  /// Of each unknown error: by how much it changes the right side of which equations (`Term::unknown`).
  std::vector<std::vector<Term>> columns;
  std::vector<std::size_t> freed;  ///< control that is not believed in plan
  bool is_freed(std::size_t p) const {
    for (const std::size_t f : freed)
      if (f == p) return true;
    return false;
  }
};

/// A net with its solution.
struct Solved {
  Part part;
  Values values;
  Unknowns unknowns;
  std::vector<Row> rows;
  std::shared_ptr<const BlockSolution> solution;  ///< full rank where `converged`
  bool converged = false;
  Extra extra;
  std::vector<double> errors;      ///< estimates of `extra.columns`
  std::size_t first_error = 0;     ///< number of the first of these unknowns
  std::vector<bool> in_net;        ///< setups that take part
  std::vector<bool> has_turn;      ///< their orientation is known, or held
  std::vector<bool> turn_held;     ///< as stated
  std::vector<bool> has_height;    ///< by setup: its axis hangs on a stated elevation
  std::vector<bool> point_height;  ///< likewise by point
  std::vector<bool> open_setups, open_points;
};

class Builder {
 public:
  Builder(const NetInput& input, const NetOptions& options, const Point<Site>& centre);

  /// Adjusts from the start values; `left_out[s][k]`: sights that take no part.
  Solved solve(const Start& start, const Part& part, const Extra& extra = {}) const;
  /// Start values where a solved net stands.
  Start start_from(const Solved& solved, const Start& first) const;
  /// Which sights can take part: of setups and to points that have a place.
  Part part_of(const Start& start, const std::vector<std::vector<bool>>& left_out,
               bool doubts_control = false) const;

  /// The control that a point is, with the job's sd where it states none; no sd: fixed.
  std::optional<ControlMark> control(std::size_t point) const;
  double control_sd(std::size_t point) const;  ///< 0: fixed
  double height_of(const ControlMark& mark) const;
  const Point<Site>& centre() const { return centre_; }
  Elevation datum() const { return datum_; }
  const NetInput& input() const { return input_; }
  const NetOptions& options() const { return options_; }

 private:
  struct Maker;
  const NetInput& input_;
  const NetOptions& options_;
  Point<Site> centre_;
  Elevation datum_;
};

}  // namespace deckmark::net
