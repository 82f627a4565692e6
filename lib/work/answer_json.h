#pragma once
/// What a command found, for a program to read: one JSON object and a line feed, in ASCII, whatever a job
/// holds.

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

}  // namespace deckmark
