#pragma once
/// Takes back what a run kept of the ledger and of the books.

#include <filesystem>

#include "work/run.h"

namespace deckmark {

/// Takes back ledger and books, each as the longest chain that holds all that stands here: from an output
/// folder, its `kept/`, or a folder with copies of books. Rows that stand here and follow what is kept stay;
/// what stands here and holds nowhere is set aside in the `.torn` file. All or nothing. Problems: a row that
/// would be lost, since the two were gone on with apart; a folder that holds nothing of this job; a kept
/// ledger that is not whole. Throws SystemFailure, also where a dialogue holds a book.
JobOutcome restore_job(const JobRequest& request, const std::filesystem::path& from, Messages& messages);

}  // namespace deckmark
