#pragma once
/// Private to the room: section `[heights]` and its tables.

#include "job/job_reading.h"

namespace deckmark {

/// REQUIRES units that were read.
void read_heights(const JobReading& in);
/// Whether a reading was taken of the deck: its row says so, or its target is a number that only a deck point
/// can have. REQUIRES numbers that were read.
bool measures_deck(const Job& job);

}  // namespace deckmark
