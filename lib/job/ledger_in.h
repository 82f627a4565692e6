#pragma once
/// A ledger that lies in another folder under the names of this job's.

#include <filesystem>
#include <optional>

#include "job/job.h"
#include "job/ledger_job.h"

namespace deckmark {

/// The files of this job's ledger as they would be named in a folder.
LedgerFiles ledger_files_in(const Job& job, const std::filesystem::path& folder);
/// Reads and proves it as `read_job` does its own; nothing, and told, where it is not whole. No such file is
/// a ledger without issues.
std::optional<LedgerFound> read_ledger_in(const Job& job, const std::filesystem::path& folder,
                                          Messages& messages);

}  // namespace deckmark
