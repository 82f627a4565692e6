#pragma once
/// `[offsets]`.

#include "job/job.h"
#include "terms/key.h"

namespace deckmark {

inline constexpr auto kOffsets = section<Job>(
    "offsets",
    key<&Job::offsets, &OffsetJob::options, &OffsetOptions::form, &OffsetForm::unit>(
        "unit", UnitKind{}, "unit of the sheet for laser and tape; the section asks for the sheet",
        R"("ft-in")")
        .otherwise("the drawing unit"),
    key<&Job::offsets, &OffsetJob::options, &OffsetOptions::form, &OffsetForm::denominator>(
        "fraction", FractionKind{}, "of an inch, to which feet and inches are rounded there", R"("1/16\"")")
        .defaults_to(R"("1/16\"")"),
    key<&Job::offsets, &OffsetJob::from>("from", TextsKind{}, "two marks of the ties for swing ties",
                                         R"(["B1", "B2"])"),
    key<&Job::offsets, &OffsetJob::strings>(
        "strings", TextsKind{},
        "three marks: X is measured square from the string from the first to the third, Y from the one from "
        "the first to the second; a job without ties, control and setups is then laid out from them",
        R"(["B1", "B2", "B3"])")
        .otherwise("the baselines"));

}  // namespace deckmark
