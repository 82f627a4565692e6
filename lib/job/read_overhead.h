#pragma once
/// Private to the room: keys and tables of runs, pieces, bays and obstructions.

#include "job/tables.h"

namespace deckmark {

/// `runs`, `pieces`, `separation` of `[drawing]`.
void read_runs(SectionReader& drawing, Job& job, TableLoader& tables, Messages& messages);
/// `bays`, `flute_move` of `[deck]`.
void read_bays(SectionReader& deck, Job& job, TableLoader& tables, Messages& messages);
/// What `[hangers]` says of runs, joints and cutting; after `max_spacing`.
void read_hanger_rules(SectionReader& hangers, Job& job);
/// `[obstructions]`.
void read_obstructions(SectionReader& section, Job& job, TableLoader& tables, Messages& messages);

}  // namespace deckmark
