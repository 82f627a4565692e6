#pragma once
/// Private to the room: the other storeys of the building.

#include "job/job_reading.h"

namespace deckmark {

/// `storeys` of [site]: what numbers the ledgers of the other jobs hold, and where their floors and decks
/// are. The job itself may stand among them. `before_ledger` as for `read_job`. REQUIRES the path of the
/// job's own ledger.
void read_storeys(const JobReading& in, const BeforeLedger& before_ledger);

}  // namespace deckmark
