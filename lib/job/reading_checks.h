#pragma once
/// Private to the room: readings of one target against each other, and against what can be read at all.

#include "job/instrument_job.h"

namespace deckmark {

/// Tells readings that cannot belong to the target or the face that they state: circles and zenith angles of
/// one target over a degree apart, collimation and index error of the setup's faces taken out, distances over
/// 0.2 m apart; and a round whose circles are all turned by one angle over a degree. Smaller differences are
/// weighed as errors of the sight, later. `setup.readings` and `setup.begins` run side by side.
void check_readings(const StatedSetup& setup, Messages& messages);

}  // namespace deckmark
