#pragma once
/// Private to the room: what a run adds to the ledger and its issues.

#include <filesystem>
#include <optional>

#include "exporter/batch.h"
#include "report/issue_text.h"
#include "work/computation.h"
#include "work/kept_files.h"

namespace deckmark {

/// Stages the rows of a new issue and then the issue itself, before the lists: once that is flushed, the
/// issue counts. Nothing is added where it is the last issue again. What is added is told to `kept`.
/// `folder`: of the lists. None without an issue.
std::optional<IssueStamp> stage_issue(const Computation& c, const std::filesystem::path& folder, Batch& batch,
                                      KeptFiles& kept);

}  // namespace deckmark
