#pragma once
/// `[net]`.

#include "job/job.h"
#include "terms/key.h"

namespace deckmark {

inline constexpr auto kNet = shared(section<Job>(
    "net", key<&Job::instrument, &InstrumentJob::control_sd>(
               "control_sd", LengthKind{Bound::sd},
               "per axis, of control that states no sd of its own; without it such control is held as exact",
               R"("1 mm")")));

}  // namespace deckmark
