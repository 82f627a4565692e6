#pragma once
/// Tables of all points: points.csv, the ledger, what changed, plumb.csv.

#include <memory>
#include <string>

#include "lists/columns.h"
#include "stages/laid_out.h"
#include "stages/plumb.h"

namespace deckmark {

extern const OutputSpec kPointsOutput, kLedgerOutput, kChangesOutput, kPlumbOutput;

/// `laid` and all that it views outlive the tables.
std::unique_ptr<WrittenTable> points_table(const LaidOut& laid, LengthUnit unit);
/// `revision`: of the job now. `ledger`: as it was read.
std::unique_ptr<WrittenTable> ledger_table(const LaidOut& laid, const LedgerTable& ledger,
                                           const std::string& revision, std::int64_t deck_offset);
std::unique_ptr<WrittenTable> changes_table(const LaidOut& laid, const LedgerTable& ledger, LengthUnit unit);
std::unique_ptr<WrittenTable> plumb_table(const LaidOut& laid, const Plumbed& plumb, LengthUnit unit);

}  // namespace deckmark
