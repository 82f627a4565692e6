#include "work/job_texts.h"

#include <fmt/format.h>

#include <algorithm>
#include <system_error>
#include <utility>
#include <vector>

#include "issues/chain.h"
#include "measure/decimal.h"
#include "pages/asbuilt.h"
#include "pages/baselines.h"
#include "pages/parts.h"
#include "pages/setups.h"
#include "report/files_text.h"
#include "report/issue_text.h"
#include "work/doing.h"
#include "work/kept_files.h"
#include "work/outputs.h"
#include "work/read_books.h"

namespace deckmark {

namespace fs = std::filesystem;

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

namespace {

/// The highest number that a ledger and lists of before hold which were put aside beside the job: where the
/// line that was typed was short of it, it counts all the same.
std::int64_t highest_aside(const Job& job) {
  std::int64_t highest = 0;
  const auto text_of = [](const fs::path& path) {
    const auto read = read_source(path, path.string());
    const auto* source = std::get_if<std::shared_ptr<const Source>>(&read);
    return source ? std::string((*source)->text()) : std::string();
  };
  std::error_code bad;
  const fs::path folder = job.folder.empty() ? fs::path(".") : job.folder;
  for (fs::directory_iterator at(folder, bad), end; !bad && at != end; at.increment(bad)) {
    if (!at->path().filename().string().starts_with(kPutAside)) continue;
    std::error_code stopped;
    for (fs::recursive_directory_iterator in(at->path(), stopped), stop; !stopped && in != stop;
         in.increment(stopped)) {
      const std::string name = in->path().filename().string();
      // What a run kept of the ledger says no more than its summary does.
      if (name == job.ledger_path.filename().string() && in->path().parent_path().filename() != kKeptFolder)
        highest = std::max(highest, highest_number(text_of(in->path())));
      if (name != kSummaryFile) continue;
      const std::string summary = text_of(in->path());
      if (const auto stamp = read_issue_text(summary)) highest = std::max(highest, stamp->highest);
      for (const FileLine& line : read_files_text(summary))
        if (line.numbers) highest = std::max({highest, line.numbers->first, line.numbers->second});
    }
  }
  return highest;
}

/// Numbers of a ledger that is begun anew.
void begin_above(const std::string& typed, Job& job, Messages& told) {
  const auto above = read_count(typed, 1, kMostNumber - 1);
  if (!above) {
    told.problem(Where::whole("--above"), "",
                 Fault{in_quotes(typed), "the highest number that was handed out, floor or deck", ""});
  } else if (job.ledger.ledger.last_issue() > 0) {
    told.problem(
        Where::whole("--above"), "",
        Fault{fmt::format("a ledger of {} issue{}", job.ledger.ledger.last_issue(),
                          job.ledger.ledger.last_issue() == 1 ? "" : "s"),
              "--above with the first run of a ledger alone: later ones go on above what it holds", ""});
  } else {
    const std::int64_t aside = highest_aside(job);
    if (aside > *above)
      told.notice(
          "numbers that were put aside", Where::whole("--above"), "",
          fmt::format("numbers begin above {}, which {} holds, and not above {}", aside, kPutAside, *above));
    job.numbers.start = std::max(job.numbers.start, std::max(aside, *above) + 1);
  }
}

}  // namespace

std::unique_ptr<Computation> computed(const JobRequest& request, Need need,
                                      const BeforeLedger& before_ledger) {
  Job job;
  PartMessages told;
  now_doing("reading the job");
  read_job(request.job, job, told, before_ledger);
  if (!request.above.empty()) begin_above(request.above, job, told.of(Part::numbers));
  take_book(job, told);
  return std::make_unique<Computation>(std::move(job), std::move(told), need, request.since);
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
                       hung ? hung->marks : c.laid_or_none().marks, c.placed.get(), c.checked.get(),
                       c.offsets.get());
}

std::string setups_of(const Computation& c, bool details) {
  const Setups* found = c.setups.get();
  return found ? setups_part(c.views.setups, *found, c.laid.get(), details) : "";
}

HeightsPage heights_of(const Computation& c, const HeightsFound& found) {
  return heights_page(c.views.head, c.views.heights, found, c.numbers.get(), c.brackets.get(),
                      c.job.asbuilt.options, c.laid.get() ? &c.laid.get()->marks : nullptr);
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
  if (laid) parts.push_back(bill_part(c.job.overhead, c.bill.get()));  // what stops a run is told first
  if (c.job.has_drawing) parts.push_back(baseline_page_text(baselines_of(c), rest));
  parts.push_back(ground_of(c));
  if (const HeightsFound* heights = c.heights.get())
    parts.push_back(heights_short_text(heights_of(c, *heights)));
  if (laid) {
    parts.push_back(deck_part(v.head, *laid));
    if (const ShapeFound* shape = c.shape.get())
      parts.push_back(shape_part(v.head, c.job.overhead, *laid, *shape));
    parts.push_back(overhead_part(v.head, c.job.overhead, *laid, c.cuts.get(), c.bill.get()));
    if (const Plumbed* plumb = c.plumb.get()) parts.push_back(plumb_part(v.head, c.job.plumb, *laid, *plumb));
  }
  parts.push_back(setups_of(c));
  if (const AsbuiltFound* asbuilt = c.asbuilt.get())
    parts.push_back(asbuilt_part(v.asbuilt, *laid, *asbuilt));
  if (c.brackets.get()) parts.push_back(brackets_text(heights_of(c, *c.heights.get())));
  std::string text;
  for (const std::string& part : parts)
    if (!part.empty()) text += (text.empty() ? "" : "\n") + part;
  return text;
}

void tell_floors(const Computation& c, Messages& messages, Grade grade) {
  if (const AsbuiltFound* found = c.asbuilt.get())
    tell_other_floors(c.views.asbuilt, *found, messages, grade);
}

std::vector<ReleaseLine> releases_of(const Job& job) {
  std::vector<ReleaseLine> out;
  for (const StatedRelease& r : job.released.rows) {
    const std::string_view kind = r.kind == StatedRelease::Kind::run   ? "run "
                                  : r.kind == StatedRelease::Kind::bay ? "bay "
                                                                       : "";
    out.push_back({fmt::format("{}{}", kind, r.what), r.by, r.on, r.reference});
  }
  return out;
}

}  // namespace deckmark
