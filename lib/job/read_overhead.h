#pragma once
/// Private to the room: keys and tables of runs, pieces, bays and obstructions.

#include "job/columns.h"
#include "job/job_reading.h"

namespace deckmark {

/// Names of rows of which no record was made.
template <class Record>
RefusedNames refused_of(const Rows<Record>& rows) {
  RefusedNames out;
  for (const auto& [begin, name] : rows.refused) out.names.push_back(name);
  out.any_unnamed = rows.any_unnamed;
  return out;
}

/// `runs`, `pieces`, `separation`, `member_width` of `[drawing]`.
void read_runs(const JobReading& in);
/// `bays`, `flute_move` of `[deck]`.
void read_bays(const JobReading& in);
/// `[hangers]`; after the runs.
void read_hangers(const JobReading& in);
/// `[obstructions]`, and `no_drill` of `[deck]`.
void read_obstructions(const JobReading& in);
/// `released` of `[deck]`; after runs and bays.
void read_released(const JobReading& in);

}  // namespace deckmark
