#pragma once
/// `[asbuilt]`.

#include "job/job.h"
#include "terms/key.h"

namespace deckmark {

inline constexpr auto kAsbuilt = section<Job>(
    "asbuilt",
    key<&Job::named, &NamedTables::asbuilt>(
        "shots", TableKind{.framed = true},
        "table of as-built shots, or book: the crosses that stand in the book", R"("asbuilt.csv")"),
    key<&Job::asbuilt, &AsbuiltJob::options, &AsbuiltOptions::sd>(
        "sd", LengthKind{Bound::sd_or_zero},
        "standard deviation of a shot, each coordinate, where it states none", R"("2 mm")")
        .defaults_to(R"("2 mm")"),
    key<&Job::asbuilt, &AsbuiltJob::options, &AsbuiltOptions::plan>("plan", LengthKind{Bound::permitted},
                                                                    "permitted offset in plan", R"("6 mm")")
        .defaults_to(R"("6 mm")"),
    key<&Job::asbuilt, &AsbuiltJob::options, &AsbuiltOptions::elevation>(
        "elevation", LengthKind{Bound::permitted}, "permitted difference of a bracket's elevation",
        R"("3 mm")")
        .defaults_to(R"("3 mm")"),
    key<&Job::asbuilt, &AsbuiltJob::options, &AsbuiltOptions::guarded>(
        "acceptance", choice<bool>({{"simple", false}, {"guarded", true}}),
        "simple, or guarded: unsure within two sd of the limit", R"("guarded")")
        .defaults_to(R"("simple")"),
    key<&Job::asbuilt, &AsbuiltJob::options, &AsbuiltOptions::by_nearest>(
        "match", choice<bool>({{"name", false}, {"nearest", true}}),
        "name, or nearest: where shot and point are each other's nearest", R"("nearest")")
        .defaults_to(R"("name")"),
    key<&Job::asbuilt, &AsbuiltJob::options, &AsbuiltOptions::radius>(
        "radius", LengthKind{Bound::above_zero}, "with nearest: no further than this", R"("150 mm")")
        .defaults_to(R"("150 mm")"));

}  // namespace deckmark
