#pragma once
/// Hangers along runs and supports of trapezes join the drawing's marks; bays with what they state.

#include <cstddef>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "hanger/crossings.h"
#include "hanger/members.h"
#include "hanger/spacing.h"
#include "hanger/trapeze.h"
#include "job/overhead_job.h"
#include "plane/outline.h"
#include "plane/path.h"
#include "stages/job_marks.h"
#include "stages/run_pieces.h"
#include "stages/staged.h"

namespace deckmark {

struct HangerOnRun {
  std::uint32_t mark;
  Length along;
};

/// A run with what hangs on it, in the order of the runs table.
struct RunFound {
  Path path;
  SpacingTask task;
  SpacingResult spacing;
  std::vector<HangerOnRun> hangers;  ///< along the run; the drawing's own points of the run too
  bool along_flutes = false;         ///< over some bay: its hangers are not moved to fastening lines there
};

struct TrapezeFound {
  std::uint32_t hanger;
  Trapeze trapeze;
  std::optional<std::uint32_t> first, second;  ///< marks of the supports
};

/// Bays as they are stated, by index.
struct BaysStated {
  std::vector<std::string> names;
  std::vector<Outline> outlines;
  std::vector<std::size_t> first_row;  ///< of its corners in the table
  std::vector<std::optional<Elevation>> levels;
  std::vector<std::optional<StatedFlutes>> flutes;
  std::vector<std::string> refused;  ///< names of those whose outline is none; they have no index
  bool any() const { return !names.empty(); }
};

/// A zone in which nothing is drilled.
struct NoDrillZone {
  std::string name, reference;
};

/// What hangs, by index. Runs are in the order of the runs table.
struct Overhead {
  std::vector<RunFound> runs;
  std::vector<Crossing> crossings;
  MembersResult members;
  std::vector<MemberPieces> pieces;  ///< of every member
  std::vector<SiteCutFound> site_cuts;
  std::vector<std::string> obstruction_names;
  std::vector<Obstruction> obstructions;  ///< by the same index
  std::size_t first_zone = 0;             ///< obstructions from here on are no-drill zones
  std::vector<NoDrillZone> zones;         ///< of these, in that order
  std::vector<TrapezeFound> trapezes;     ///< by hanger
  BaysStated bays;
};

/// All marks, and what hangs on them.
struct Hung {
  JobMarks marks;
  Overhead overhead;
};

struct OverheadInput {
  std::shared_ptr<MarkTable> marks;           ///< of the drawing; taken, and added to
  std::shared_ptr<const NameIndex> index;     ///< of their names; may be null
  std::shared_ptr<const Table> points_table;  ///< null where no table states points
  const OverheadJob& stated;
  LengthUnit drawing_unit = LengthUnit::metre;
  Where max_spacing, joint_every;  ///< the keys of [hangers]
  std::optional<Length> height{};  ///< of brackets, where a run states none
  bool mirrored = false;           ///< the drawing looks up
  bool is_whole = true;  ///< else rows or keys are spoiled: the rest is looked over, nothing generated
};
/// Problems: runs, members, pieces and outlines that are none, names that are taken. A spoiled result still
/// holds the marks and the bays that are known. REQUIRES the widest space between hangers where there are
/// runs.
[[nodiscard]] Staged<Hung> hang(OverheadInput input);

/// Corners by the name of their outline, in the order of first mention; problems name the corner. `refused`:
/// of corners that could not be read; an outline that lacks one has no fault of its own.
struct NamedOutline {
  std::string name;
  std::size_t first_row = 0;
  std::vector<std::size_t> rows;
  std::optional<Outline> outline;
  bool is_line = false;  ///< of two corners, where lines are allowed
};
enum class TwoCorners : std::uint8_t { refused, line };
std::vector<NamedOutline> gather_outlines(const std::vector<StatedCorner>& corners, const ReadTable& table,
                                          std::string_view field, Messages& messages,
                                          const RefusedNames& refused = {},
                                          TwoCorners two = TwoCorners::refused);
/// The clearance that the rows of an outline state. Problem: two that differ.
std::optional<Length> clearance_of(const NamedOutline& outline, const std::vector<StatedCorner>& corners,
                                   const ReadTable& table, Messages& messages);
/// No-drill zones as obstructions behind those of `out`; a line of two corners is a strip of its clearance.
/// Problems: outlines that are none, a zone of one corner, a line without clearance.
void read_zones(const OverheadJob& stated, Overhead& out, Messages& messages);
/// The no-drill zone that holds a place, its clearance included, by its index; nothing: none.
std::optional<std::size_t> zone_at(const Overhead& overhead, const Point<Drawing>& place);
/// Bays with their outlines and what they state. Problems: outlines, elevations or flutes that contradict
/// themselves.
BaysStated read_bays(const OverheadJob& stated, Messages& messages);

}  // namespace deckmark
