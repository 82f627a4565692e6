#include "work/job_texts.h"

#include <utility>
#include <vector>

#include "pages/asbuilt.h"
#include "pages/baselines.h"
#include "pages/parts.h"
#include "pages/setups.h"
#include "work/doing.h"
#include "work/outputs.h"

namespace deckmark {

void MainTable::put(const WrittenTable& written, std::span<const OutColumn> declared) {
  csv = csv_of(written);
  columns = declared;
}

void JobOutcome::withhold(std::string why) {
  line.clear();
  verdict.reset();
  reasons.clear();
  no_verdict = std::move(why);
}

std::unique_ptr<Computation> computed(const JobRequest& request, Need need,
                                      const BeforeLedger& before_ledger) {
  Job job;
  PartMessages told;
  now_doing("reading the job");
  read_job(request.job, job, told, before_ledger);
  return std::make_unique<Computation>(std::move(job), std::move(told), need);
}

JobOutcome outcome_of(const Standing& standing) {
  JobOutcome out;
  out.exit = standing.outside ? Exit::outside : Exit::done;
  out.line = standing.line;
  out.verdict = standing.verdict;
  out.reasons = standing.reasons;
  return out;
}

JobOutcome ended_with_problems() {
  JobOutcome out;
  out.exit = Exit::bad_input;
  return out;
}

BaselinePage baselines_of(const Computation& c) {
  const Hung* hung = c.hung.get();
  return baseline_page(c.views.head, c.views.baselines, site_place(c.views.site.facts),
                       hung ? hung->marks : c.laid_or_none().marks, c.placed.get(), c.checked.get());
}

std::string setups_of(const Computation& c, bool details) {
  const Setups* found = c.setups.get();
  return found ? setups_part(c.views.setups, *found, c.laid.get(), details) : "";
}

std::string ground_of(const Computation& c) {
  const GroundFound* found = c.ground.get();
  return found ? ground_part(c.views.head, c.views.ground, *found, c.laid.get(),
                             c.job.list.frame == ListFrame::grid)
               : "";
}

std::string stages_text(const Computation& c, std::string_view rest) {
  const JobViews& v = c.views;
  const LaidOut* laid = c.laid.get();
  std::vector<std::string> parts;
  if (c.job.has_drawing) parts.push_back(baseline_page_text(baselines_of(c), rest));
  parts.push_back(ground_of(c));
  if (laid) {
    parts.push_back(deck_part(v.head, *laid));
    parts.push_back(overhead_part(v.head, c.job.overhead, *laid, c.cuts.get()));
    if (const Plumbed* plumb = c.plumb.get()) parts.push_back(plumb_part(v.head, c.job.plumb, *laid, *plumb));
  }
  parts.push_back(setups_of(c));
  if (const AsbuiltFound* asbuilt = c.asbuilt.get())
    parts.push_back(asbuilt_part(v.asbuilt, *laid, *asbuilt));
  std::string text;
  for (const std::string& part : parts)
    if (!part.empty()) text += (text.empty() ? "" : "\n") + part;
  return text;
}

void tell_floors(const Computation& c, Messages& messages, Grade grade) {
  if (const AsbuiltFound* found = c.asbuilt.get())
    tell_other_floors(c.views.asbuilt, *found, messages, grade);
}

}  // namespace deckmark
