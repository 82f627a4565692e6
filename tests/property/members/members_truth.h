#pragma once
/// What the members of a group of runs are, where they end, and what is marked on them: worked out from the
/// words of the manual by scanning the drawing, without anything of the program.

#include <map>
#include <string>
#include <vector>

#include "runs_world.h"

namespace deckmark_test {

struct TruePiece {
  std::string name;
  double from = 0, to = 0;  ///< beside these places of the run
};

/// A joint, an end, a notch or a crossing.
struct TrueMark {
  std::string word;
  double along = 0;  ///< of the run
};

struct TrueMember {
  std::size_t run = 0;  ///< of the group
  std::string name;     ///< left, right, inside, outside; empty where the run has one member
  bool site_left = false;
  Beside line;
  double from = 0, to = 0;         ///< beside these places of the run
  std::array<std::string, 2> end;  ///< free, wall, joined; empty of a ring
  std::vector<TruePiece> pieces;
  std::vector<TrueMark> marks;

  double length() const { return line.length(from, to); }
};

/// Where two runs meet.
struct TrueMeeting {
  enum class Kind : std::uint8_t { corner, tee, crossing };
  Kind kind = Kind::corner;
  std::size_t first = 0, second = 0;            ///< runs; of a T the second is the one that goes on
  End end_first = kStart, end_second = kStart;  ///< those that meet: both of a corner, the first of a T
  double along_first = 0, along_second = 0;
  double angle = 0;         ///< degrees, as crossings.csv has it
  double open = 0;          ///< how far the runs stay from one another
  std::size_t through = 0;  ///< of a T or crossing
};

/// Meetings of members: what is notched and what is cut.
struct TrueCut {
  std::size_t through_run = 0, cut_run = 0;
};

struct GroupTruth {
  std::vector<TrueMember> members;  ///< by run, the site's left (or inside) first
  std::vector<TrueMeeting> meetings;
  std::vector<TrueCut> cuts;
  /// Empty where every fact is clear of what 1 mm more or less would change.
  std::string unclear;
};

GroupTruth truth_of(const RunGroup& group, const RunsWorld& world);

/// How a run is cut into pieces.
enum class Cutting : std::uint8_t { none, every, by_run, by_member };
/// States pieces of a run and lays them, with their joints, along its members. False, and nothing done, where
/// a joint would lie at the end of a member or beyond it. `every`: the job's joint_every.
bool cut_into_pieces(StatedRun& run, std::size_t index, GroupTruth& truth, Cutting how, double every,
                     std::mt19937_64& random);

/// What needs and parts count, by their words; of `piece`, `end-left` and `end-right` also `piece left` and
/// so on.
std::map<std::string, double> counts_of(const RunGroup& group, const GroupTruth& truth);

}  // namespace deckmark_test
