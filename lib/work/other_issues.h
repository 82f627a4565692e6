#pragma once
/// Private to the room: whether the ledger is the one by which lists were handed out before.

#include <filesystem>
#include <string>

#include "table/message.h"
#include "work/computation.h"

namespace deckmark {

/// Problems: a ledger of another job file; one that is behind what stands in a folder, or of which two copies
/// were gone on with, or that is lost; a folder of one's own choice that holds another issue. Looked at are
/// the output folder and those beside it, and `out` and `issued/*` beside the job; no file times. Doubts:
/// folders that cannot be read; a folder of one's own choice whose summary names no issue.
/// REQUIRES an issue. `is_explicit`: `out` was chosen, and is not the job's own. `take_over`: the job file
/// whose ledger this job goes on with; may be empty.
void tell_other_issues(const Computation& c, const std::filesystem::path& out, bool is_explicit,
                       const std::string& take_over, Messages& messages);

}  // namespace deckmark
