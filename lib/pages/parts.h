#pragma once
/// Ground, deck, overhead, plumb and changes in words; empty where the job has no such data.

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "report/changes_text.h"
#include "report/text.h"
#include "stages/bill.h"
#include "stages/cuts.h"
#include "stages/ground.h"
#include "stages/issue.h"
#include "stages/offsets.h"
#include "stages/plumb.h"
#include "stages/shape.h"

namespace deckmark {

/// `laid`: null where marks have no place on site. `in_grid`: the lists are in the projection.
std::string ground_part(const JobHead& head, const GroundStated& stated, const GroundFound& found,
                        const LaidOut* laid, bool in_grid);
std::string deck_part(const JobHead& head, const LaidOut& laid);
/// `bill`: null where the job states no parts.
std::string overhead_part(const JobHead& head, const OverheadJob& stated, const LaidOut& laid,
                          const CutsFound* cuts, const BillFound* bill);
/// Runs that cannot begin, and what is short; empty where `bill` is null or nothing is judged.
std::string bill_part(const OverheadJob& stated, const BillFound* bill);
/// The same for a screen, in at most so many lines.
std::string bill_part(const OverheadJob& stated, const BillFound* bill, std::size_t lines);

/// What breaks the drawing's own pattern; empty where nothing does.
std::string shape_part(const JobHead& head, const OverheadJob& stated, const LaidOut& laid,
                       const ShapeFound& found);

/// Deck marks with names and numbers, in the order of their table.
std::vector<PlumbLine> plumb_lines(const LaidOut& laid, const Plumbed& plumb);
std::string plumb_part(const JobHead& head, const PlumbOptions& options, const LaidOut& laid,
                       const Plumbed& plumb);
/// What changed since an earlier issue, by number, so many of them one by one.
std::string changes_part(const JobHead& head, const IssueStated& stated, const IssueFound& found,
                         const LaidOut& laid, std::size_t most = kChangesTold);
/// Two numbers of what the floor list holds, and how they lie to one another: those whose distance changed
/// most since the issue compared with (`found` may be null), else first and last. `grid`: null for lists at
/// ground scale; `only`: runs that are listed, empty for all.
std::string check_lines(const JobHead& head, const LaidOut& laid, const std::vector<std::string>& only,
                        const GroundFromGrid* grid, const Ledger& ledger, const IssueFound* found);
/// The same of a job that is laid out from strings, for the tape: two marks that the sheet has rows for. Else
/// the lowest number and the mark farthest from it. Empty where the sheet has no row.
std::string sheet_check_lines(const LaidOut& laid, const OffsetsFound& offsets, const OffsetForm& form,
                              const Ledger& ledger, const IssueFound* found, std::string_view offsets_sha256);
/// What the crew with laser and tape holds its tape against first: two marks of the strings whose distance
/// was found, else those that swing ties go out from; empty where there are none. `permitted`: of a length,
/// where the job states it.
std::string tape_check(const OffsetsFound& offsets, const OffsetForm& form,
                       const std::optional<Length>& permitted);
/// How many marks the sheet of the whole job has rows for.
std::size_t marks_of_sheet(const LaidOut& laid, const OffsetsFound& offsets);

}  // namespace deckmark
