#pragma once
/// Private to the room: keys and tables of runs, pieces, bays and obstructions.

#include "job/job_reading.h"

namespace deckmark {

/// `runs`, `pieces`, `separation` of `[drawing]`.
void read_runs(const JobReading& in);
/// `bays`, `flute_move` of `[deck]`.
void read_bays(const JobReading& in);
/// `[hangers]`; after the runs.
void read_hangers(const JobReading& in);
/// `[obstructions]`.
void read_obstructions(const JobReading& in);

}  // namespace deckmark
