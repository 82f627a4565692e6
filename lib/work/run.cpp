#include "work/run.h"

#include <fmt/format.h>

#include <algorithm>
#include <optional>
#include <system_error>
#include <utility>

#include "exporter/batch.h"
#include "lists/instrument_lists.h"
#include "lists/offsets.h"
#include "lists/points.h"
#include "lists/setups.h"
#include "measure/shell_word.h"
#include "measure/side_by_side.h"
#include "measure/visible_lines.h"
#include "pages/page.h"
#include "pages/parts.h"
#include "report/files_text.h"
#include "report/issue_text.h"
#include "report/release_text.h"
#include "report/short_text.h"
#include "report/text.h"
#include "report/words.h"
#include "table/digest.h"
#include "work/doing.h"
#include "work/issue_files.h"
#include "work/job_texts.h"
#include "work/kept_files.h"
#include "work/outputs.h"
#include "work/run_files.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

/// Inputs of a job, each with its digest. The ledger grows with the run: its digest is that of the issue.
std::vector<InputLine> inputs_of(const Job& job) {
  std::vector<InputLine> out;
  for (const auto& source : job.inputs)
    if (std::ranges::find(job.ledger.sources, source) == job.ledger.sources.end())
      out.push_back({source->name(), source->sha256()});
  return out;
}

std::string page_of_job(const Computation& c, std::string_view line, std::string_view program,
                        std::string_view points_sha256) {
  return page_of(
      {c.views.head, c.views.baselines, c.job.control, c.job.overhead, c.job.list.only, *c.laid.get(),
       c.checked.get(), c.offsets.get(), c.job.plumb, c.plumb.get(), c.views.asbuilt, c.asbuilt.get(),
       c.bill.get(), c.heights.get() ? std::optional(heights_of(c, *c.heights.get())) : std::nullopt,
       inputs_of(c.job)},
      line, program, points_sha256);
}

/// Two listed marks to check the loaded list, or the sheet, by. `files`: of the run, offsets.csv among them.
std::string check_of(const Computation& c, std::span<const FileLine> files) {
  if (c.is_from_strings())
    return sheet_check_lines(*c.laid.get(), *c.offsets.get(), c.job.offsets.options.form, c.job.ledger.ledger,
                             c.issue.get(),
                             std::ranges::find(files, kOffsetsOutput.name, &FileLine::name)->sha256);
  const GroundFromGrid* grid = c.job.list.frame == ListFrame::grid ? &*c.job.ground.ground : nullptr;
  return check_lines(c.views.head, *c.laid.get(), c.job.list.only, grid, c.job.ledger.ledger, c.issue.get());
}

/// `files`: those of the run, its page and its sums too.
ShortRun short_run(const Computation& c, const Standing& standing, std::span<const FileLine> files,
                   const fs::path& folder) {
  ShortRun out{.line = standing.line, .verdict = standing.verdict, .reasons = standing.reasons};
  out.release = c.views.head.release;
  out.storey = storey_line(c.job.storey);
  out.folder = visible(folder.string());
  for (const FileLine& f : files) {
    ++out.files;
    if (f.is_of_crew) {
      out.of_crews.push_back(f.name);
      continue;
    }
    const OutputSpec* spec = output_of(f.name);
    const auto is = [spec](std::initializer_list<const OutputSpec*> any) {
      return std::ranges::count(any, spec) > 0;
    };
    if (is({&kListOutput, &kListGridOutput, &kFloorListOutput, &kFloorListGridOutput, &kFloorListsOutput,
            &kFloorListsGridOutput}))
      out.floor.push_back(f);
    if (is({&kDeckListOutput, &kDeckListGridOutput, &kDeckListsOutput, &kDeckListsGridOutput}))
      out.deck.push_back(f);
    if (is({&kStakeSheetOutput})) out.stakes.push_back(f.name);
    if (is({&kOffsetSheetOutput})) out.tape = {f.name, marks_of_sheet(*c.laid.get(), *c.offsets.get()), ""};
  }
  const LaidOut* laid = c.laid.get();
  if (!laid) return out;
  if (out.tape && c.offsets.get())
    out.tape->check = tape_check(*c.offsets.get(), c.job.offsets.options.form, c.job.square.tolerance);
  out.tape_alone = c.job.control.empty() && c.job.instrument.setups.empty();
  if (c.is_from_strings())
    out.strings = "deckmark offsets " + shell_word(c.job.path.string());
  else
    out.check = check_of(c, files);
  if (c.offsets.get())
    out.corners = corner_words(c.offsets.value->corners, small_unit(c.job.site_unit, c.job.drawing_unit));
  out.parts = [&c](std::size_t lines) { return bill_part(c.job.overhead, c.bill.get(), lines); };
  out.changes = [&c, laid](std::size_t most) {
    return changes_part(c.views.head, c.views.issue, *c.issue.get(), *laid, most);
  };
  return out;
}

/// The main table of a run.
void put_table(const Computation& c, MainTable& table) {
  table.unit = c.views.head.list_unit;
  if (c.laid.get())
    table.put(*points_table(*c.laid.get(), *table.unit, c.views.heights.datum_line()), kPointsOutput.columns);
  else
    table.put(*setup_table(c.views.setups, *c.setups.get(), *table.unit), kSetupOutput.columns);
}

/// All that was found, as the summary begins. `files`: all of the run but the sums and the summary.
std::string full_text(const Computation& c, const std::string& line, const std::optional<IssueStamp>& stamp,
                      std::span<const FileLine> files) {
  std::string text = line + "\n\n";
  if (const std::string release = release_text(c.views.head.release); !release.empty())
    text += release + "\n";
  if (stamp) text += issue_text(*stamp, c.laid.get()->marks.size()) + "\n";
  text += storey_line(c.job.storey);
  if (const IssueFound* issue = c.issue.get())
    text += changes_part(c.views.head, c.views.issue, *issue, *c.laid.get()) + "\n";
  if (c.issue.get())
    if (const std::string check = check_of(c, files); !check.empty()) text += check + "\n";
  return text + files_text(files) + "\n" + stages_text(c, "see baseline.csv and checks.csv") + "\n" +
         cautions_text();
}

/// Stages the page, which names the digest of points.csv.
FileLine stage_page(const Computation& c, const std::string& line, std::string_view program,
                    const fs::path& folder, std::span<const FileLine> files, Batch& batch) {
  const auto points = std::ranges::find(files, kPointsFile, &FileLine::name);
  std::vector<OutputFile> page;
  page.push_back({folder / kPageFile, page_of_job(c, line, program, points->sha256)});
  return {.name = std::string(kPageFile), .sha256 = batch.stage(std::move(page)).front().sha256};
}

/// Stages the sums and the summary, whose digest the sums name: the summary is the last that is put in place.
void stage_ends(std::string summary, std::vector<FileLine>& files, const fs::path& folder, Batch& batch) {
  files.push_back({.name = std::string(kSummaryFile), .sha256 = sha256_hex(summary)});
  std::vector<OutputFile> ends;
  ends.push_back({folder / kSumsFile, sums_text(files)});
  ends.push_back({folder / kSummaryFile, std::move(summary)});
  batch.stage(std::move(ends));
  files.push_back({.name = std::string(kSumsFile)});
}

}  // namespace

JobOutcome run_job(const JobRequest& request, const fs::path& out, std::string_view program,
                   Messages& messages, const std::function<void(const JobOutcome&)>& show) {
  std::optional<JobLock> job_lock;
  std::error_code none;
  if (const auto file = job_file_of(request.job); file && fs::is_regular_file(*file, none))
    job_lock.emplace(*file);
  Batch batch;
  // Whoever shares the ledger waits from before it is read until all that names its numbers is in place.
  const auto c = computed(request, Need::lists,
                          [&batch](const fs::path& ledger) { batch.hold_folder(ledger.parent_path()); });
  messages.merge(c->take_told(whole_job()));
  if (messages.has_problems()) return ended_with_problems();

  const Job& job = c->job;
  tell_floors(*c, messages, Grade::doubt);
  RunFiles run(*c, request, out, messages);
  const fs::path& folder = run.folder();
  if (fs::is_directory(folder, none)) batch.hold_folder(folder);
  const Standing s = c->standing();
  now_doing("making the lists");
  std::vector<Planned> files = run.plan(s.line);
  if (messages.has_problems()) return ended_with_problems();

  batch.hold_folder(folder);
  batch.keep_account(folder);
  const std::vector<fs::path> stale = run.stale(files);
  // Digests of the inputs are made beside the writing; the provenance needs them last.
  auto digests = begin_beside([&job] {
    for (const auto& source : job.inputs) (void)source->sha256();
  });
  now_doing("writing the files and reading them back");
  KeptFiles kept(job);
  const std::optional<IssueStamp> stamp = stage_issue(*c, folder, batch, kept);
  std::vector<OutputFile> contents = kept.files(folder);
  const std::size_t first = contents.size();
  if (first > 0) batch.hold_folder(folder / kKeptFolder);
  for (Planned& p : files) contents.push_back(std::move(p.file));
  const std::vector<StagedFile> staged = batch.stage(std::move(contents));

  digests.get();
  std::vector<FileLine> lines;
  for (std::size_t i = 0; i < files.size(); ++i)
    lines.push_back(
        {files[i].shown, files[i].rows, files[i].numbers, staged[first + i].sha256, files[i].is_of_crew});
  if (c->laid.get()) lines.push_back(stage_page(*c, s.line, program, folder, lines, batch));
  JobOutcome outcome = outcome_of(s);
  const std::string full = full_text(*c, s.line, stamp, lines);
  stage_ends(
      visible_lines(full + "\n" + provenance_text(program, c->views.heading, job.revision, inputs_of(job))),
      lines, folder, batch);
  outcome.text = request.details ? full : short_text(short_run(*c, s, lines, folder));
  if (request.with_rows) put_table(*c, outcome.table);
  show(outcome);
  batch.commit(stale);
  return outcome;
}

}  // namespace deckmark
