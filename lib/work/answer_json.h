#pragma once
/// What a command found, for a program to read: one JSON object and a line feed, in ASCII, whatever a job
/// holds.

#include <cstddef>
#include <span>
#include <string>

#include "table/message.h"
#include "work/run.h"

namespace deckmark {

/// `verdict` (null where the job as a whole is not judged), `status`, `text` (the verdict line, or why there
/// is no verdict), `reasons`, `doubts`, `notices`, `unit`, `rows`: the main table, lengths in `unit`, numbers
/// with the digits that the table has, null where a cell is empty. REQUIRES a table that was asked for.
std::string answer_json(const JobOutcome& outcome, const Messages& messages);
/// `verdict` null, `status` 2, `problems`, `doubts`, `notices`.
std::string problems_json(const Messages& messages);
/// Problems, doubts and notices as a table: file, line, column, grade, field, text.
void put_messages(const Messages& messages, MainTable& table);

/// One job of several that were asked for at once, as it was typed.
struct JobAnswer {
  std::string job;
  Messages messages;
  JobOutcome outcome;
};
/// `status`: the worst; `ready`: how many are; `jobs`: the object of each alone, with `job` before.
std::string answers_json(std::span<const JobAnswer> jobs);
/// The table of `put_messages` with one column more, the job, behind the others.
void put_messages(std::span<const JobAnswer> jobs, MainTable& table);
/// How many are READY TO LAY OUT, and the worst status.
std::size_t ready_jobs(std::span<const JobAnswer> jobs);
Exit worst_of(std::span<const JobAnswer> jobs);

}  // namespace deckmark
