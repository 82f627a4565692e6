#pragma once
/// Private to the room: the control that the issues of a ledger were made with.

#include "job/ledger_job.h"

namespace deckmark {

/// Reads it where it stands, behind the issues in `found`: rows of an issue that is not among them were never
/// handed out (a notice) and do not count. False where a row cannot be used (told). Without the file nothing
/// is known, as with ledgers of earlier versions.
bool read_issued_control(const LedgerFiles& files, LedgerFound& found, Messages& messages);

}  // namespace deckmark
