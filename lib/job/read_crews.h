#pragma once
/// Private to the room: reader of every [[crew]].

#include "job/job_reading.h"

namespace deckmark {

/// REQUIRES that the setups have been read. Runs and points are looked for once all marks are known.
void read_crews(const JobReading& in);

}  // namespace deckmark
