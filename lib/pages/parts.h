#pragma once
/// Ground, deck, overhead, plumb and changes in words; empty where the job has no such data.

#include <string>
#include <vector>

#include "report/text.h"
#include "stages/cuts.h"
#include "stages/ground.h"
#include "stages/plumb.h"

namespace deckmark {

/// `laid`: null where marks have no place on site. `in_grid`: the lists are in the projection.
std::string ground_part(const JobHead& head, const GroundStated& stated, const GroundFound& found,
                        const LaidOut* laid, bool in_grid);
std::string deck_part(const JobHead& head, const LaidOut& laid);
std::string overhead_part(const JobHead& head, const OverheadJob& stated, const LaidOut& laid,
                          const CutsFound* cuts);

/// Deck marks with names and numbers, in the order of their table.
std::vector<PlumbLine> plumb_lines(const LaidOut& laid, const Plumbed& plumb);
std::string plumb_part(const JobHead& head, const PlumbOptions& options, const LaidOut& laid,
                       const Plumbed& plumb);
/// What changed since the last issue, by number, so many of them one by one. `ledger`: as it was read.
std::string changes_part(const JobHead& head, const LedgerTable& ledger, const LaidOut& laid,
                         std::size_t most = kChangesTold);
/// First and last number of what the floor list holds, and how the two lie to one another. `grid`: null for
/// lists at ground scale; `only`: runs that are listed, empty for all.
std::string check_lines(const JobHead& head, const LaidOut& laid, const std::vector<std::string>& only,
                        const GroundFromGrid* grid);

}  // namespace deckmark
