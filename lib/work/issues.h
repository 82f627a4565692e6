#pragma once
/// What was handed out: who was given an issue, the issues, which of them a list is, and one number's way
/// through them.

#include <filesystem>
#include <string>

#include "work/run.h"

namespace deckmark {

/// What was typed of an issue that is given.
struct GiveRequest {
  std::string to, on;      ///< to whom, and when: nothing is taken from a clock
  std::string issue = {};  ///< its number; empty: the last
};
/// Adds a row to the file of who has what, beside the ledger; the same again is told and not added twice.
/// Doubt: a job that would hand out another issue than the last. Problems: what was typed, a job without
/// issues, an issue that is not there. Throws SystemFailure.
JobOutcome give_issue(const JobRequest& request, const GiveRequest& give, Messages& messages);

/// The issues and who has them. Problem: a job without issues.
JobOutcome list_issues(const JobRequest& request, Messages& messages);
/// Writes floor and deck lists of an issue as the ledger has it, in the layout that the job states now; of
/// the issue that the job still hands out the same bytes as the run.
/// CAVEAT  the ledger keeps micrometres: in an older list a value that lies within half of one from where its
/// last digit turns may be one more or less there.
/// `typed`: its number. Problems: an issue that is not there, or of which no heights are known; a folder that
/// holds other files. Throws SystemFailure.
JobOutcome write_issue_lists(const JobRequest& request, const std::string& typed,
                             const std::filesystem::path& out, Messages& messages);

/// Which issue and list a file is that was read back from an instrument. Exit: done where it is a list of the
/// last issue, else outside. Problems: a job without issues, a file that is no list.
JobOutcome compare_with_issues(const JobRequest& request, const std::filesystem::path& file,
                               Messages& messages);

/// One number's way through drawing, issues, those who have it, marks, shots and sights. `typed`: a floor or
/// deck number, or a name. Problems: a job without issues, a number that the ledger has not.
JobOutcome tell_history(const JobRequest& request, const std::string& typed, Messages& messages);

}  // namespace deckmark
