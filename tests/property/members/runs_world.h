#pragma once
/// Runs as a drawing states them, and random groups of runs that meet in corners, T's and crossings.

#include <array>
#include <cstdint>
#include <optional>
#include <random>
#include <string>
#include <vector>

#include "brute_geometry.h"

namespace deckmark_test {

/// The beginning and the finish of a run.
enum End : std::size_t { kStart = 0, kFinish = 1 };

struct StatedPiece {
  std::string name, member;  ///< `member` empty: on each of the run's members
  double length = 0;
  std::vector<double> notches;  ///< from its start
};

/// One row of the table of runs, with its pieces.
struct StatedRun {
  std::string name, kind;
  RunLine line;
  double height = 0;               ///< above the floor
  double separation = 0;           ///< of its members; 0: it has one
  std::array<std::string, 2> end;  ///< free, wall, joined or nothing
  /// By end, then the site's left and right hand.
  std::array<std::array<std::optional<double>, 2>, 2> beyond;
  std::optional<std::size_t> cut_by;  ///< the run of its group that goes through
  std::vector<StatedPiece> pieces;

  bool is_ring() const { return kind == "ring"; }
  bool is_pair() const { return separation > 0; }
};

/// What a group of runs was made to show. Runs of different groups are far apart.
enum class Shape : std::uint8_t {
  alone,
  corner,
  chain,
  tee,
  tee_over,
  crossing,
  ring_crossed,
  ring_end,
  heights,
  star,
  nearly,
  straight,
  loop,
  ladder,
  grid
};
inline constexpr std::size_t kShapes = 15;

struct RunGroup {
  Shape shape = Shape::alone;
  std::vector<StatedRun> runs;
};

struct RunsWorld {
  bool mirrored = false;
  Spot origin;            ///< where the drawing has the world's 0, 0: far away a length has fewer digits left
  double separation = 0;  ///< the drawing's, for runs that state none; 0: not stated
  double member_width = 0;  ///< 0: not stated
  std::vector<RunGroup> groups;
};

/// A group round a place, before anything was judged or cut into pieces.
RunGroup random_group(Shape shape, Spot round, const RunsWorld& world, std::mt19937_64& random);

/// The rows of the table of runs. Places to 10 nm.
std::string runs_table(const RunsWorld& world);
/// The rows of the table of pieces; only its header where there are none.
std::string pieces_table(const RunsWorld& world);

}  // namespace deckmark_test
