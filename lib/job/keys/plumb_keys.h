#pragma once
/// `[plumb]`.

#include "job/job.h"
#include "terms/key.h"

namespace deckmark {

inline constexpr auto kPlumb = section<Job>(
    "plumb",
    key<&Job::plumb, &PlumbOptions::sd>("sd", LengthKind{Bound::sd_or_zero},
                                        "standard deviation per axis, where a deck mark states none",
                                        R"("2 mm")")
        .defaults_to(R"("2 mm")"),
    key<&Job::plumb, &PlumbOptions::tolerance>("tolerance", LengthKind{Bound::permitted},
                                               "permitted offset of a deck mark from its floor mark",
                                               R"("6 mm")")
        .defaults_to(R"("6 mm")"),
    key<&Job::plumb, &PlumbOptions::slope>(
        "slope", RatioKind{}, "permitted slope over the drop; not judged unless stated", R"("1:6")"),
    key<&Job::named, &NamedTables::deck_marks>(
        "marks", TableKind{.framed = true},
        "table of measured deck marks, or book: the crosses that stand in the book", R"("deckmarks.csv")"));

}  // namespace deckmark
