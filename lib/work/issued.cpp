#include <fmt/format.h>
#include <fmt/ranges.h>

#include <utility>
#include <vector>

#include "exporter/batch.h"
#include "lists/ledger_lists.h"
#include "measure/letters.h"
#include "measure/visible_lines.h"
#include "report/issued_text.h"
#include "work/chosen_issue.h"
#include "work/issues.h"
#include "work/job_texts.h"
#include "work/output_names.h"
#include "work/outputs.h"
#include "work/own_folder.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

/// False where a list of another issue stands there, which is not replaced (told).
bool keep_other_issue(const std::vector<OutputFile>& files, Messages& messages) {
  for (const OutputFile& f : files) {
    const auto read = read_source(f.target, f.target.string());
    const auto* source = std::get_if<std::shared_ptr<const Source>>(&read);
    const auto* table = std::get_if<std::unique_ptr<WrittenTable>>(&f.content);
    if (source && table && (*source)->text() != csv_of(**table)) {
      messages.problem(Where::whole(f.target.string()), "file",
                       Fault{"another list of this name", "a folder that is new, or holds these lists alone",
                             "--out with another folder"});
      return false;
    }
  }
  return true;
}

/// What is wrong with the list section or the control stops it, the rest of the job does not.
std::unique_ptr<Computation> read_issues(const JobRequest& request, const Shown& shown, Messages& messages) {
  auto c = computed(request, Need::measured);
  messages.merge(c->take_told(shown));
  if (!messages.has_problems()) has_issues(*c, messages);
  return c;
}

}  // namespace

JobOutcome list_issues(const JobRequest& request, Messages& messages) {
  const auto c = read_issues(request, {{Stage::numbers}}, messages);
  if (messages.has_problems()) return ended_with_problems();
  const LedgerFound& ledger = c->job.ledger;
  JobOutcome out;
  out.no_verdict = "issues are history: they judge nothing";
  out.text = issued_text(c->job.title, ledger.ledger.issues(), ledger.given);
  if (request.with_rows) out.table.put(*issues_table(ledger.ledger.issues(), ledger.given), kIssueColumns);
  return out;
}

JobOutcome write_issue_lists(const JobRequest& request, const std::string& typed, const fs::path& out,
                             Messages& messages) {
  const auto c = read_issues(request, {{Stage::numbers, Stage::lists, Stage::ground}}, messages);
  if (messages.has_problems()) return ended_with_problems();
  const Job& job = c->job;
  const auto issue = chosen_issue(*c, "--list", typed, messages);
  if (!issue) return ended_with_problems();
  const IssueMarks marks(job.ledger.ledger, *issue, c->laid.get());
  const IssuedRow& row = job.ledger.ledger.issues()[*issue - 1];
  if (!marks.knows_heights())
    messages.problem(Where{}, "--list",
                     Fault{fmt::format("{}, of which the ledger has no heights", issue_words(row)),
                           "an issue that this version of the program handed out", ""});
  // The ledger keeps micrometres. Where the job still hands out this issue, the lists have the run's very
  // bytes.
  const IssueFound* today = c->issue.get();
  const LaidOut laid = today && !today->is_new && today->number == *issue ? *c->laid.get() : marks.laid();
  const ListsInput input{
      job.list, job.ground, job.control, laid, job.list_split_key.at, job.list_decimals_key.at};
  std::vector<OutputFile> files;
  std::vector<std::string> names;
  std::vector<OutputName> after;
  for (ListFile& list : list_files(input)) {
    names.push_back(list_name(job.list, list));
    const std::string run =
        list.part.empty() || list.rows.empty() ? "" : std::string(laid.marks->runs[list.rows.front()]);
    after.push_back({names.back(),
                     {run.empty() ? "points without a run" : "run " + in_quotes(run), "",
                      job.list_split_key.at, "list.split"}});
    files.push_back({out / names.back(), list_table(input, std::move(list))});
  }
  tell_names_that_meet(after, messages);
  if (keep_other_issue(files, messages)) keep_others(out, names, messages);
  if (messages.has_problems()) return ended_with_problems();
  Batch batch;
  batch.hold_folder(out);
  batch.stage(std::move(files));
  batch.commit({});
  JobOutcome done;
  done.text = fmt::format("{}, from the ledger, to {}: {}\n", issue_words(row), visible(out.string()),
                          visible(fmt::format("{}", fmt::join(names, ", "))));
  if (*issue < job.ledger.ledger.last_issue())
    done.text += fmt::format("issue {} is the last: these lists are older\n", job.ledger.ledger.last_issue());
  return done;
}

}  // namespace deckmark
