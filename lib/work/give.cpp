#include <fmt/format.h>

#include <algorithm>
#include <utility>
#include <vector>

#include "exporter/batch.h"
#include "lists/points.h"
#include "measure/visible_lines.h"
#include "work/chosen_issue.h"
#include "work/issues.h"
#include "work/job_texts.h"
#include "work/typed.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

void add_row(const LedgerFound& stands, const LedgerFiles& files, GivenRow row, Batch& batch) {
  const fs::path target = files.path_beside(kGivenWord);
  const bool has_header = stands.given_file.stands && stands.given_file.covered > 0;
  if (has_header) batch.cut(target, stands.given_file.covered, files.torn());
  std::vector<OutputFile> out;
  out.push_back({target, given_rows({std::move(row)}, !has_header), has_header ? How::append : How::replace});
  batch.stage(std::move(out));
  batch.commit({});
}

}  // namespace

JobOutcome give_issue(const JobRequest& request, const GiveRequest& give, Messages& messages) {
  is_typed_text("--to", give.to, "who is given the issue", "--to north", messages);
  is_typed_date("--on", give.on, "the date on which it is given", messages);
  Batch batch;
  const auto c = computed(request, Need::measured,
                          [&batch](const fs::path& ledger) { batch.hold_folder(ledger.parent_path()); });
  messages.merge(c->take_told({{Stage::numbers}}));
  const Job& job = c->job;
  const auto chosen = c->is_spoiled(Part::file) || c->is_spoiled(Part::numbers)
                          ? std::nullopt
                          : chosen_issue(*c, "--issue", give.issue, messages);
  if (messages.has_problems()) return ended_with_problems();

  const Ledger& ledger = job.ledger.ledger;
  const IssuedRow& issue = ledger.issues()[*chosen - 1];
  const GivenRow row{issue.issue, std::string(trimmed(give.to)), std::string(trimmed(give.on)), issue.digest};
  const bool is_again = std::ranges::any_of(job.ledger.given, [&](const GivenRow& g) {
    return g.issue == row.issue && same_name(g.to, row.to) && g.on == row.on;
  });
  doubt_last_issue(*c, messages);
  if (!is_again) add_row(job.ledger, job.ledger_files(), row, batch);
  JobOutcome out;
  out.no_verdict = "who has an issue is no verdict on the job";
  out.text = fmt::format(
      "{}{} {} to {} on {}{}\n", issue_words(issue), is_again ? " was" : " is",
      is_again ? "given already" : "given", visible(row.to), visible(row.on),
      is_again ? ": nothing is added" : fmt::format(": {}", visible(job.ledger_files().beside(kGivenWord))));
  if (issue.issue < ledger.last_issue())
    out.text += fmt::format("issue {} is the last: this one is older\n", ledger.last_issue());
  return out;
}

}  // namespace deckmark
