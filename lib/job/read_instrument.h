#pragma once
/// Private to the room: readers of [instrument], [stake] and every [[setup]].

#include "job/job_reading.h"

namespace deckmark {

/// REQUIRES that the control table and the notation of angles have been read.
void read_instrument(const JobReading& in);
/// Whether the job has setups, readable or not: what tables name may have been sighted from them.
bool states_setups(const JobReading& in);

}  // namespace deckmark
