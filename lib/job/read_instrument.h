#pragma once
/// Private to the room: readers of [instrument], [stake] and every [[setup]].

#include "job/job_file.h"
#include "job/tables.h"

namespace deckmark {

/// REQUIRES that the control table has been read.
void read_instrument(const JobValue& root, Job& job, TableLoader& tables, Messages& messages);

}  // namespace deckmark
