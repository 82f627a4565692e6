#pragma once
/// Keys of the job file above its sections.

#include "job/job.h"
#include "terms/key.h"

namespace deckmark {

inline constexpr auto kSiteFileKey = section<Job>(
    "", key<&Job::site_file>("site_file", TextKind{.all_seen = true},
                             "file that the storeys of a building share, relative to this one: its [site], "
                             "[baselines], [instrument], [[setup]], [net] and [list] hold here key by key",
                             R"("../site.toml")"));

inline constexpr auto kTitleKeys = section<Job>(
    "",
    key<&Job::title>("title", TextKind{.all_seen = true}, "name of the job, for the summary and the ledger",
                     R"("Library atrium, level 5")"),
    key<&Job::revision>("revision", TextKind{.all_seen = true},
                        "revision of the drawing, for the summary and the ledger", R"("B")"));

inline constexpr auto kTop = joined(kTitleKeys, kSiteFileKey);

inline constexpr auto kStorey = section<Job>(
    "storey",
    key<&Job::storey>("name", TextKind{.all_seen = true},
                      "what the storey is called, beside the title on every sheet, page and summary",
                      R"("level 3")"));

}  // namespace deckmark
