#pragma once
/// Private to the room: what the drawing needs, the bill, what arrived.

#include "job/job_reading.h"

namespace deckmark {

/// `needs`, `bill`, `arrived` of `[drawing]`; after the runs and pieces.
void read_bill(const JobReading& in);

}  // namespace deckmark
