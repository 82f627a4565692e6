#pragma once
/// `[baselines]`.

#include "job/job.h"
#include "terms/key.h"

namespace deckmark {

inline constexpr auto kTieKeys = section<Job>(
    "baselines",
    key<&Job::named, &NamedTables::ties>("ties", TableKind{.framed = true},
                                         "table of ties: points found on site whose drawing x or y is known",
                                         R"("ties.csv")")
        .otherwise("E = x, N = y; mirrored N = -y"),
    key<&Job::baseline, &BaselineOptions::scale_free>(
        "scale", choice<bool>({{"fixed", false}, {"free", true}}),
        "fixed at 1, or free: what was measured on site counts as right and the drawing is stretched",
        R"("free")")
        .defaults_to(R"("fixed")"),
    key<&Job::baseline, &BaselineOptions::hold>(
        "hold", choice<Hold>({{"both", Hold::both}, {"x", Hold::x}, {"y", Hold::y}}),
        "both, x or y: which baseline keeps its own direction (x and y need a fixed scale)", R"("x")")
        .defaults_to(R"("both")"),
    key<&Job::baseline, &BaselineOptions::azimuth_near>(
        "azimuth_near", AngleKind{.such_as = "40°"},
        "rough azimuth of +X, to choose between two fits; within 60°", R"("40°")"),
    key<&Job::checks, &BaselineJob::tie_sd>(
        "tie_sd", LengthKind{Bound::sd},
        "standard deviation of a stated coordinate, and of a taped length, whose row states none",
        R"("1.5 mm")")
        .defaults_to(R"("1.5 mm")"),
    key<&Job::square, &SquarenessOptions::tolerance>("tolerance", LengthKind{Bound::permitted},
                                                     "permitted residual where the tie states none",
                                                     R"("5 mm")")
        .otherwise("5 mm for ties; squareness and lengths by setout alone"),
    key<&Job::square, &SquarenessOptions::setout, &SetOutFigures::tier>(
        "setout", choice<SetOut>({{"secondary", SetOut::secondary}, {"primary", SetOut::primary}}),
        "secondary or primary: whose limits of ISO 4463-1 squareness and lengths are held to, beside "
        "tolerance",
        R"("primary")")
        .defaults_to(R"("secondary")"),
    key<&Job::square, &SquarenessOptions::setout, &SetOutFigures::angle>(
        "setout_angle",
        AngleKind{.such_as = "0.09°",
                  .above = Angle::degrees(0),
                  .most = Angle::degrees(45),
                  .up_to_most = false,
                  .found = "an angle out of range",
                  .expected =
                      "an angle above 0 and under 45 degrees, over the root of the shorter baseline in "
                      "metres, such as \"0.09°\""},
        "your own figure for a right angle, in place of the remembered one: over √L, L in metres",
        R"("0.09°")")
        .otherwise("that of setout"),
    key<&Job::square, &SquarenessOptions::setout, &SetOutFigures::length>(
        "setout_length", LengthKind{Bound::above_zero}, "your own figure for a length: times √L, in metres",
        R"("1.5 mm")")
        .otherwise("that of setout"),
    key<&Job::square, &SquarenessOptions::setout, &SetOutFigures::least>(
        "setout_least", LengthKind{Bound::above_zero}, "your own least figure for a length, however short",
        R"("4 mm")")
        .otherwise("that of setout"),
    key<&Job::named, &NamedTables::signed_fit>("signed", TableKind{.what = "file"},
                                               "the file of baseline --sign: that fit is used unchanged",
                                               R"("signed.toml")"));

inline constexpr auto kTapedKeys = section<Job>(
    "baselines",
    key<&Job::checks, &BaselineJob::tape_standard>(
        "tape_standard", TemperatureKind{},
        "temperature at which the steel tape is right; used where a row has a temperature", R"("20 °C")")
        .defaults_to(R"("20 °C")"),
    key<&Job::named, &NamedTables::lengths>(
        "lengths", TableKind{},
        "table of lengths, taped or by laser, between marks of the ties or drawing points",
        R"("lengths.csv")"));

inline constexpr auto kBaselines = shared(joined(kTieKeys, kTapedKeys));

}  // namespace deckmark
