#pragma once
/// What a job says of runs, pieces, bays, obstructions and no-drill zones. Data only.

#include <algorithm>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "hanger/hanger_options.h"
#include "job/keys/stated.h"
#include "job/read_table.h"
#include "measure/frame.h"
#include "table/reader.h"

namespace deckmark {

/// A run as its row states it.
struct StatedRun {
  enum class Kind : std::uint8_t { line, arc, ring };
  std::string name;
  Kind kind = Kind::line;
  Point<Drawing> from, to;                ///< of a ring: its first point and the opposite one
  std::optional<Point<Drawing>> between;  ///< on an arc, between the ends
  std::optional<Length> height;           ///< of the brackets, above the floor
  std::optional<Length> separation{};     ///< of its two members, 0 for one; DEFAULT that of the job
  std::optional<RunEnd> start{}, finish{};
  StatedReach reach{};
  std::vector<std::string> cut_by{};  ///< runs that go through where they cross this one
};

/// Words for the kinds, in their order.
inline constexpr std::string_view kRunKindWords[] = {"line", "arc", "ring"};

struct StatedPiece {
  std::string name, run;
  Length length;
  std::optional<MemberSide> member{};  ///< DEFAULT one on each member, cut at the same places of the run
  std::vector<Length> notches{};       ///< from its start
  MayCut may_cut = MayCut::both;
};

/// Which way the flutes of a deck run; fastening lines lie one pitch apart.
struct StatedFlutes {
  bool along_x = true;  ///< else along y
  Length pitch;
  Length first;  ///< y of a fastening line where flutes run along x, x of one where they run along y
};

/// One corner of a bay, an obstruction or a no-drill zone, with what its row says of the whole.
struct StatedCorner {
  std::string name;
  Point<Drawing> at;
  std::optional<Elevation> elevation;  ///< of a bay
  std::optional<StatedFlutes> flutes;  ///< of a bay
  std::optional<Length> clearance;     ///< of an obstruction or a no-drill zone
  std::string reference{};             ///< of a no-drill zone: of its scan
};

/// Names in rows of a table that hold a fault, so that no record was made of them.
struct RefusedNames {
  std::vector<std::string> names;
  bool any_unnamed = false;  ///< and rows of which not even the name is known: any name may be theirs

  bool may_hold(std::string_view name) const {
    return any_unnamed ||
           std::any_of(names.begin(), names.end(), [&](const std::string& n) { return same_name(n, name); });
  }
};

struct OverheadJob {
  ReadTable runs_table, pieces_table, bays_table, outlines_table, zones_table;
  RefusedNames refused_runs, refused_bays, refused_outlines, refused_zones;
  std::vector<StatedRun> runs;
  std::vector<StatedPiece> pieces;
  std::vector<StatedCorner> bays, outlines;
  std::vector<StatedCorner> zones;  ///< in which nothing is drilled; a line has two corners

  HangerOptions hangers;  ///< its max_spacing is the job's
  Written joint_every_key, stock_key;
  TrapezeOptions trapezes;
  CutOptions cut;
  Length clearance = Length::metres(0);  ///< where an outline states none
  Stated<Length> trapeze_height;     ///< of its bar above the floor; DEFAULT that of the hanger it carries
  std::optional<Length> flute_move;  ///< a hanger moved further than this to a fastening line is told

  bool any() const { return runs_table.table || pieces_table.table || bays_table.table || bridges(); }
  /// Something is stated that hangers may have to bridge.
  bool bridges() const { return outlines_table.table || zones_table.table; }
};

}  // namespace deckmark
