#pragma once
/// Tables of all points: points.csv, the ledger, what changed, plumb.csv.

#include <memory>
#include <string>

#include "issues/control.h"
#include "issues/given.h"
#include "lists/columns.h"
#include "stages/issue.h"
#include "stages/laid_out.h"
#include "stages/plumb.h"

namespace deckmark {

extern const OutputSpec kPointsOutput, kLedgerOutput, kIssuedControlOutput, kIssuedOutput, kGivenOutput,
    kChangesOutput, kChangesCrewOutput, kPlumbOutput;

/// `laid` and all that it views outlive the tables.
/// `datum`: the datum line, where the job states one.
std::unique_ptr<WrittenTable> points_table(const LaidOut& laid, LengthUnit unit,
                                           std::optional<Elevation> datum = std::nullopt);
/// `changes` with their rows, as of `find_issue`.
std::unique_ptr<WrittenTable> changes_table(const LaidOut& laid, const Ledger& ledger,
                                            const std::vector<ChangeRow>& changes, const RowNow& now,
                                            LengthUnit unit);
/// The rows that a new issue adds to the ledger; `header`: the ledger begins with them.
std::unique_ptr<WrittenTable> issue_rows(const IssueFound& found, bool header);
/// What an earlier version left, as the ledger has it from then on. REQUIRES an issue.
std::unique_ptr<WrittenTable> first_issue_rows(const Ledger& ledger);
/// Rows of `issued-control.csv`.
std::unique_ptr<WrittenTable> issued_control_rows(std::vector<IssuedControl> rows, bool header);
/// Rows of `issued.csv`.
std::unique_ptr<WrittenTable> issued_rows(std::vector<IssuedRow> rows, bool header);
/// Rows of `given.csv`.
std::unique_ptr<WrittenTable> given_rows(std::vector<GivenRow> rows, bool header);
std::unique_ptr<WrittenTable> plumb_table(const LaidOut& laid, const Plumbed& plumb, LengthUnit unit);

}  // namespace deckmark
