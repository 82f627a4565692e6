#pragma once
/// `[hangers]` and `[obstructions]`.

#include "job/job.h"
#include "terms/key.h"

namespace deckmark {

/// No bracket is that far above a floor (common practice, no source).
inline constexpr Length kTallestBracket = Length::metres(1000);

inline constexpr auto kBracketKeys = section<Job>(
    "hangers", key<&Job::attach_height>("height", WithinKind{Bare::drawing, kTallestBracket, "a height"},
                                        "bracket above the floor where a point states none", R"("3.200 m")"));

inline constexpr auto kSpacingKeys = section<Job>(
    "hangers",
    key<&Job::max_spacing>(
        "max_spacing", LengthKind{Bound::above_zero},
        "widest space along a run, in the order of the drawing; wider is a doubt. Runs need it", R"("1.2 m")")
        .needed("with runs"),
    key<&Job::overhead, &OverheadJob::hangers, &HangerOptions::end_distance>(
        "end_distance", LengthKind{Bound::zero_or_more},
        "first and last hanger of a run no further from its ends", R"("200 mm")")
        .otherwise("they stand at the ends"),
    key<&Job::overhead, &OverheadJob::hangers, &HangerOptions::joint_every>(
        "joint_every", LengthKind{Bound::above_zero}, "runs without pieces are made of pieces this long",
        R"("3.6 m")")
        .placed<&Job::overhead, &OverheadJob::joint_every_key>(),
    key<&Job::overhead, &OverheadJob::hangers, &HangerOptions::joint_clear>(
        "joint_clear", LengthKind{Bound::zero_or_more}, "no hanger of a run nearer to a joint", R"("50 mm")")
        .defaults_to("0"),
    key<&Job::overhead, &OverheadJob::hangers, &HangerOptions::joint_support>(
        "joint_support", LengthKind{Bound::above_zero}, "a hanger of the run within this of every joint",
        R"("300 mm")"),
    key<&Job::overhead, &OverheadJob::hangers, &HangerOptions::crossing_support>(
        "crossing_support", LengthKind{Bound::above_zero},
        "a hanger of the run within this of every crossing and corner", R"("300 mm")"),
    key<&Job::overhead, &OverheadJob::hangers, &HangerOptions::piece_least>(
        "piece_least", LengthKind{Bound::above_zero}, "no piece that is cut on site is shorter",
        R"("300 mm")")
        .otherwise("no limit"));

inline constexpr auto kCutKeys = section<Job>(
    "hangers",
    key<&Job::overhead, &OverheadJob::cut, &CutOptions::top>(
        "cut_top", LengthKind{Bound::zero_or_more},
        "added to the drop at the top; it asks for the cut list, as cut_bottom and stock do", R"("50 mm")")
        .otherwise("0 beside cut_bottom or stock"),
    key<&Job::overhead, &OverheadJob::cut, &CutOptions::bottom>(
        "cut_bottom", LengthKind{Bound::zero_or_more}, "added to the drop at the bottom", R"("30 mm")")
        .otherwise("0 beside cut_top or stock"),
    key<&Job::overhead, &OverheadJob::cut, &CutOptions::stock>(
        "stock", LengthKind{Bound::above_zero},
        "length of rod or wire as delivered; a longer cut is a problem", R"("3.66 m")")
        .placed<&Job::overhead, &OverheadJob::stock_key>(),
    key<&Job::overhead, &OverheadJob::cut, &CutOptions::round>(
        "cut_round", LengthKind{Bound::above_zero}, "cuts are rounded up to a multiple of this", R"("5 mm")"),
    key<&Job::overhead, &OverheadJob::cut, &CutOptions::kerf>("kerf", LengthKind{Bound::zero_or_more},
                                                              "lost at every cut", R"("3 mm")")
        .defaults_to("0"));

inline constexpr auto kHangers = joined(kBracketKeys, kSpacingKeys, kCutKeys);

inline constexpr auto kObstructions = section<Job>(
    "obstructions",
    key<&Job::overhead, &OverheadJob::trapezes, &TrapezeOptions::reach>(
        "reach", LengthKind{Bound::above_zero},
        "a support no further from its hanger; else there is no trapeze, and a doubt", R"("600 mm")"),
    key<&Job::overhead, &OverheadJob::clearance>("clearance", LengthKind{Bound::zero_or_more},
                                                 "no hanger nearer to an outline that states no clearance",
                                                 R"("50 mm")")
        .defaults_to("0"),
    key<&Job::overhead, &OverheadJob::trapeze_height>(
        "trapeze_height", WithinKind{Bare::drawing, kTallestBracket, "a height"},
        "bar of a trapeze above the floor: its two rods are cut to it, also where the hanger that it carries "
        "states a height",
        R"("3.600 m")")
        .otherwise("the height of the hanger that it carries"),
    key<&Job::named, &NamedTables::outlines>("outlines", TableKind{},
                                             "table of what is in the way at the deck", R"("ducts.csv")"));

}  // namespace deckmark
