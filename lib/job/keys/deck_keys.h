#pragma once
/// `[floor]` and `[deck]`.

#include "job/job.h"
#include "terms/key.h"

namespace deckmark {

/// No ground on Earth is higher (common practice, no source).
inline constexpr Length kHighestFloor = Length::metres(10000);

inline constexpr auto kFloor = section<Job>(
    "floor",
    key<&Job::floor>("elevation", HeightKind{kHighestFloor},
                     "elevation of the design floor; rise and drop are from there", R"("24.000 m")")
        .otherwise("0, with a doubt where there is a deck"),
    key<&Job::datum>("datum", LengthKind{Bound::above_zero},
                     "the datum line above the floor, from which heights are measured", R"("1.000 m")"));

inline constexpr auto kDeckKeys = section<Job>(
    "deck",
    key<&Job::deck_level>("elevation", HeightKind{kHighestFloor},
                          "underside of a level deck; without it, shots or bays no deck list is made",
                          R"("28.300 m")"),
    key<&Job::named, &NamedTables::deck_shots>(
        "shots", TableKind{.framed = true},
        "table of three or more shots on the underside of the deck, not on one line", R"("deck.csv")"),
    key<&Job::deck, &DeckOptions::flatness>("flatness", LengthKind{Bound::above_zero},
                                            "a shot further than this from the fitted deck is a doubt",
                                            R"("20 mm")")
        .defaults_to(R"("20 mm")"));

inline constexpr auto kBayKeys = section<Job>(
    "deck",
    key<&Job::named, &NamedTables::bays>(
        "bays", TableKind{}, "table of the deck's bays; each states its elevation, or shots name it",
        R"("bays.csv")"),
    key<&Job::overhead, &OverheadJob::flute_move>(
        "flute_move", LengthKind{Bound::zero_or_more},
        "a hanger that moves further than this to a fastening line is a doubt", R"("100 mm")"));

inline constexpr auto kZoneKeys = section<Job>(
    "deck", key<&Job::named, &NamedTables::no_drill>(
                "no_drill", TableKind{},
                "table of zones as scanned, in which no hanger is fastened: it is bridged as under a duct",
                R"("nodrill.csv")"));

inline constexpr auto kReleaseKeys = section<Job>(
    "deck", key<&Job::named, &NamedTables::released>(
                "released", TableKind{},
                "table of what was released for drilling, by whom and when; nothing else says drill",
                R"("released.csv")"));

inline constexpr auto kDeck = joined(kDeckKeys, kBayKeys, kZoneKeys, kReleaseKeys);

}  // namespace deckmark
