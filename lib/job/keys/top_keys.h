#pragma once
/// Keys of the job file above its sections.

#include "job/job.h"
#include "terms/key.h"

namespace deckmark {

inline constexpr auto kTop = section<Job>(
    "",
    key<&Job::title>("title", TextKind{.all_seen = true}, "name of the job, for the summary and the ledger",
                     R"("Library atrium, level 5")"),
    key<&Job::revision>("revision", TextKind{.all_seen = true},
                        "revision of the drawing, for the summary and the ledger", R"("B")"));

}  // namespace deckmark
