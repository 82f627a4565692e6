#pragma once
/// `[book]`.

#include "job/job.h"
#include "terms/key.h"

namespace deckmark {

inline constexpr std::string_view kBookFile = "book.csv";

inline constexpr auto kBook = section<Job>(
    "book",
    key<&Job::book, &BookJob::file>("file", TextKind{.all_seen = true},
                                    "the book of what was done, from the job's folder; with --crew NAME "
                                    "-NAME stands before its ending",
                                    R"("book.csv")")
        .otherwise("book.csv"),
    key<&Job::book, &BookJob::options, &BookOptions::check_every>(
        "check_every", CountKind{1, 10'000, 20}, "marks after which a known target is read again", "20")
        .defaults_to("20"),
    key<&Job::book, &BookJob::options, &BookOptions::check_minutes>(
        "check_minutes", CountKind{1, 24 * 60, 30}, "minutes after which a known target is read again", "30")
        .defaults_to("30"),
    key<&Job::book, &BookJob::copy>("copy", TextKind{.all_seen = true},
                                    "a folder on another disk, where every entry is written too before it is "
                                    "acknowledged",
                                    R"("/media/stick")"),
    key<&Job::book, &BookJob::options, &BookOptions::sd>(
        "sd", LengthKind{Bound::sd_or_zero}, "standard deviation per axis of a mark that was not read",
        R"("2 mm")")
        .defaults_to(R"("2 mm")"),
    key<&Job::book, &BookJob::options, &BookOptions::rod>(
        "rod", LengthKind{Bound::permitted}, "a rod that is off by more is cut again", R"("5 mm")")
        .defaults_to(R"("5 mm")"),
    key<&Job::book, &BookJob::options, &BookOptions::old_hole>(
        "old_hole", LengthKind{Bound::zero_or_more},
        "nearer than this to an old hole nothing says drill: an alarm distance, not an engineering rule",
        R"("300 mm")")
        .defaults_to(R"("300 mm")"));

}  // namespace deckmark
