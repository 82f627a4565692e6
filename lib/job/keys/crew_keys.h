#pragma once
/// `[[crew]]`.

#include <string>
#include <vector>

#include "job/crew_job.h"
#include "job/keys/stated.h"
#include "terms/key.h"

namespace deckmark {

/// One crew as its keys state it.
struct CrewKeys {
  Stated<std::string> name;
  Stated<std::vector<std::string>> runs, points, setups;
  std::vector<CrewWork> does{CrewWork::floor, CrewWork::deck, CrewWork::hang};
};

inline constexpr auto kCrew = repeated(section<CrewKeys>(
    "crew",
    key<&CrewKeys::name>("name", TextKind{}, "letters, digits, - and _: its files are named after it",
                         R"("north")")
        .needed("always"),
    key<&CrewKeys::runs>("runs", TextsKind{"at least one run", R"(["R1"])"},
                         "runs that the crew lays out, with the supports of their hangers", R"(["R1", "R2"])")
        .needed("unless points"),
    key<&CrewKeys::points>("points", TextsKind{"at least one point", R"(["P1"])"},
                           "points that the crew lays out, beside those of its runs", R"(["P1", "P2"])")
        .needed("unless runs"),
    key<&CrewKeys::setups>("setups", TextsKind{"at least one setup", "no setups key for all"},
                           "setups that the crew works from", R"(["S1"])")
        .otherwise("all"),
    key<&CrewKeys::does>("does",
                         WordsKind<CrewWork>{crew_work_word, CrewWork::hang,
                                             "at least one of floor, deck, hang", R"(["floor"])"},
                         "what it does there: floor, deck, hang; it gets lists of that work alone",
                         R"(["floor", "deck"])")
        .defaults_to(R"(["floor", "deck", "hang"])")));

}  // namespace deckmark
