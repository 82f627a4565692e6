#pragma once
/// `[heights]`.

#include "job/job.h"
#include "terms/key.h"

namespace deckmark {

inline constexpr auto kHeights = section<Job>(
    "heights",
    key<&Job::named, &NamedTables::benchmarks>("benchmarks", TableKind{}, "table of points of known height",
                                               R"("benchmarks.csv")")
        .needed("with level or laser"),
    key<&Job::named, &NamedTables::level_readings>(
        "level", TableKind{}, "table of staffs read by a level, back and fore", R"("level.csv")"),
    key<&Job::named, &NamedTables::laser_readings>(
        "laser", TableKind{}, "table of what was read from a laser's plane", R"("laser.csv")"),
    key<&Job::heights, &HeightsJob::options, &HeightOptions::reading_sd>(
        "reading_sd", LengthKind{Bound::sd}, "standard deviation of one reading of a staff", R"("1 mm")")
        .defaults_to(R"("1 mm")"),
    key<&Job::heights, &HeightsJob::beam>(
        "beam", TextKind{},
        "what the laser's papers allow its plane; half of it is taken as one sd. This or beam_sd",
        R"("3 mm at 10 m")")
        .needed("with laser, or beam_sd"),
    key<&Job::heights, &HeightsJob::options, &HeightOptions::beam_sd>(
        "beam_sd",
        AngleKind{.such_as = "0-00-30",
                  .above = Angle::degrees(0),
                  .most = Angle::degrees(1),
                  .found = "an sd that is not above zero or over one degree",
                  .expected = R"(the sd of the plane as deckmark fieldtest found it, such as "30\"")"},
        "sd of the laser's plane as deckmark fieldtest found it; in place of beam", R"("30\"")"),
    key<&Job::heights, &HeightsJob::options, &HeightOptions::loop_limit>(
        "loop_limit", LengthKind{Bound::permitted},
        "what a line of levels, or a laser that reads a known height twice, may close to", R"("3 mm")")
        .otherwise(
            "3 mm up to four set-ups; beyond, 12 mm times the root of the length in km, at least 3 mm; "
            "without all distances 3 mm times the root of set-ups / 4 (common practice, no source); of a "
            "laser "
            "3 mm, or 2.5 sds of the difference where that is more"));

}  // namespace deckmark
