#include "work/chosen_issue.h"

#include <fmt/format.h>

#include "measure/shell_word.h"
#include "measure/visible_lines.h"
#include "work/other_issues.h"
#include "work/outputs.h"
#include "work/typed.h"

namespace deckmark {

std::string issue_words(const IssuedRow& issue) {
  return issue.revision.empty() ? fmt::format("issue {}", issue.issue)
                                : fmt::format("issue {}, revision {}", issue.issue, visible(issue.revision));
}

bool has_issues(const Computation& c, Messages& messages) {
  const Job& job = c.job;
  const std::size_t before = messages.problems();
  tell_other_issues(c, output_folder(job, {}), false, {}, messages);
  if (messages.problems() > before) return false;
  if (job.ledger.ledger.last_issue() > 0) return true;
  messages.problem(Where::whole(job.ledger_file), "file",
                   Fault{"no issue: no run handed out numbers yet", "a job that was run",
                         "deckmark run " + shell_word(job.path.string())});
  return false;
}

std::optional<std::uint32_t> chosen_issue(const Computation& c, std::string_view option,
                                          const std::string& typed, Messages& messages) {
  if (!has_issues(c, messages)) return std::nullopt;
  const std::uint32_t last = c.job.ledger.ledger.last_issue();
  if (typed.empty()) return last;
  const auto number = typed_number(typed);
  if (number && *number >= 1 && *number <= last) return number;
  messages.problem(Where{}, option,
                   Fault{in_quotes(typed),
                         last == 1 ? std::string("issue 1, the only one")
                                   : fmt::format("the number of an issue, from 1 to {}", last),
                         last == 1 ? fmt::format("{} 1", option) : ""});
  return std::nullopt;
}

void doubt_last_issue(const Computation& c, Messages& messages) {
  const IssueFound* found = c.issue.get();
  const std::uint32_t last = c.job.ledger.ledger.last_issue();
  const std::string job = shell_word(c.job.path.string());
  if (!found)
    messages.doubt("whether the last issue is today's", Where::whole(c.job.file), "file",
                   fmt::format("not known, since the job has problems: deckmark check {} tells them", job));
  else if (found->is_new)
    messages.doubt("whether the last issue is today's", Where::whole(c.job.file), "file",
                   fmt::format("the job has changed since issue {}: deckmark run {} hands out issue {}", last,
                               job, found->number));
}

}  // namespace deckmark
