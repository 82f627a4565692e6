#include "work/run.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cerrno>
#include <future>
#include <set>
#include <sstream>
#include <system_error>

#include "exporter/batch.h"
#include "lists/asbuilt.h"
#include "lists/checks.h"
#include "lists/points.h"
#include "lists/setups.h"
#include "measure/side_by_side.h"
#include "measure/visible_lines.h"
#include "pages/asbuilt.h"
#include "pages/baselines.h"
#include "pages/page.h"
#include "pages/parts.h"
#include "pages/setups.h"
#include "report/baseline_page.h"
#include "report/files_text.h"
#include "report/text.h"
#include "table/digest.h"
#include "table/meant_word.h"
#include "work/computation.h"
#include "work/left_behind.h"
#include "work/outputs.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

BaselinePage baselines_of(const Computation& c) {
  const Hung* hung = c.hung.get();
  return baseline_page(c.views.head, c.views.baselines, site_place(c.views.site.facts),
                       hung ? hung->marks : c.laid_or_none().marks, c.placed.get(), c.checked.get());
}

std::string setups_of(const Computation& c) {
  const Setups* found = c.setups.get();
  return found ? setups_part(c.views.setups, *found, c.laid.get()) : "";
}

std::string ground_of(const Computation& c) {
  const GroundFound* found = c.ground.get();
  return found ? ground_part(c.views.head, c.views.ground, *found, c.laid.get(),
                             c.job.list.frame == ListFrame::grid)
               : "";
}

/// Everything that was found, in words. `rest`: where rows stand that find no room in it.
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

/// A planned file and where it goes.
struct Planned {
  OutputFile file;
  std::optional<std::pair<std::int64_t, std::int64_t>> numbers;
  std::string shown;                ///< its name in the summary
  std::optional<std::size_t> rows;  ///< of a table
  bool is_ledger = false;
};

class JobRun {
 public:
  JobRun(const Computation& computed, fs::path out, Messages& messages)
      : c_(computed), job_(computed.job), out_(std::move(out)), messages_(messages) {}

  /// Every file but the page and the summary, the ledger first. Problems: an output that would replace an
  /// input.
  std::vector<Planned> plan(std::string_view verdict) {
    std::vector<Planned> files;
    for (Output& o : plan_outputs(c_, verdict, messages_)) {
      const fs::path target = o.is_ledger ? job_.ledger_path : out_ / o.name;
      std::optional<std::size_t> rows;
      if (const auto* table = std::get_if<std::unique_ptr<WrittenTable>>(&o.content))
        rows = (*table)->rows();
      else  // a text to read: all that it holds shows
        o.content = visible_lines(std::move(std::get<std::string>(o.content)));
      files.push_back({{target, std::move(o.content)}, o.numbers, std::move(o.name), rows, o.is_ledger});
    }
    const auto keep_ledger = [&](const fs::path& target) {
      if (is_same_file(target, job_.ledger_path)) refuse(target, "the ledger");
    };
    for (const Planned& p : files) {
      keep_inputs(p.file.target, p.is_ledger);
      if (!p.is_ledger) keep_ledger(p.file.target);
    }
    for (const std::string_view name : {kPageFile, kSummaryFile}) {
      keep_inputs(out_ / name, false);
      keep_ledger(out_ / name);
    }
    tell_foreign(files);
    tell_left_behind(place(files), job_.input_paths, messages_);
    tell_lost_numbers();
    return files;
  }

  /// Files that an earlier run named in its summary and this one does not make.
  std::vector<fs::path> stale(const std::vector<Planned>& files) const {
    std::vector<fs::path> out;
    for (const std::string& name : earlier()) {
      const fs::path target = out_ / name;
      const bool made = std::ranges::any_of(files, [&](const Planned& p) { return p.file.target == target; });
      const bool is_input =
          std::ranges::any_of(job_.input_paths, [&](const fs::path& in) { return is_same_file(in, target); });
      if (!made && !is_input && !(name == kPageFile && has_place())) out.push_back(target);
    }
    return out;
  }

 private:
  bool has_place() const { return c_.laid.is_there(); }
  /// Files that stand in the way and that no earlier run names in its summary: they are replaced. What is no
  /// file cannot be.
  void tell_foreign(const std::vector<Planned>& files) const {
    const std::set<std::string> made = earlier();
    for (const Planned& p : files) {
      std::error_code none;
      const fs::path& target = p.file.target;
      const fs::file_status stands = fs::symlink_status(target, none);
      if (!fs::exists(stands)) continue;
      const auto tell = [&](std::string_view what) {
        messages_.doubt("a file that another made", Where::whole(target.string()), "file",
                        fmt::format("{}: move it, or choose another folder with --out", what));
      };
      if (fs::is_directory(target, none))
        tell("a folder of this name is in the way, so that a run will fail");
      else if (fs::is_symlink(stands) && !fs::exists(target, none))
        tell("a run replaces this link, which leads to no file");
      else if (!p.is_ledger && fs::is_regular_file(target, none) && made.count(p.shown) == 0)
        tell("a run replaces it, and no earlier run made it");
    }
  }
  /// A ledger that has fewer numbers than the last run here left in it: numbers would be given to other
  /// points.
  void tell_lost_numbers() const {
    const std::vector<FileLine> lines = read_files_text(summary());
    const auto left = std::ranges::find_if(lines, &FileLine::is_ledger);
    if (left == lines.end() || left->name != job_.ledger_file || left->rows <= job_.ledger.size()) return;
    messages_.doubt(
        "numbers that were lost", Where::whole(job_.ledger_file), "file",
        fmt::format("it holds {} number{}, and {} says that the last run left {} in it: numbers that stand "
                    "on the floor would be given to other points; put the ledger of that run back",
                    job_.ledger.size(), job_.ledger.size() == 1 ? "" : "s", (out_ / kSummaryFile).string(),
                    *left->rows));
  }
  std::string summary() const {
    const auto read = read_source(out_ / kSummaryFile, std::string(kSummaryFile));
    const auto* source = std::get_if<std::shared_ptr<const Source>>(&read);
    return source ? std::string((*source)->text()) : "";
  }
  /// Files that earlier runs made: those named in the summary, and those that a run which was killed before
  /// its summary put in place.
  std::set<std::string> earlier() const {
    std::set<std::string> names;
    for (std::string& name : interrupted_in(out_).made) names.insert(std::move(name));
    for (const FileLine& line : read_files_text(summary()))
      if (!line.is_ledger) names.insert(line.name);
    std::erase_if(names, [](const std::string& name) { return output_of(name) == nullptr; });
    return names;
  }
  OutputPlace place(const std::vector<Planned>& files) const {
    OutputPlace place{job_.ledger_path, out_, out_ / kSummaryFile, {std::string(kSummaryFile)},
                      earlier(),        true};
    if (has_place()) place.made.insert(std::string(kPageFile));
    for (const Planned& p : files)
      if (!p.is_ledger) place.made.insert(p.shown);
    // The page is the last that a summary names; without a drawing there is neither page nor ledger.
    const std::vector<FileLine> named = read_files_text(summary());
    place.summary_tells = !named.empty() && (named.back().name == kPageFile || !named.front().is_ledger);
    return place;
  }
  void refuse(const fs::path& target, const std::string& what) {
    messages_.problem(
        Where::whole(target.string()), "file",
        Fault{fmt::format("an output of this name that would replace {}", what),
              "an output folder without files that the job reads", "--out with another folder"});
  }
  /// The ledger as read for its numbers; the same file named as another table is an input like any other.
  bool is_ledger_input(std::size_t input) const {
    return job_.ledger_table.table && job_.inputs[input] == job_.ledger_table.table->source();
  }
  void keep_inputs(const fs::path& target, bool is_ledger) {
    for (std::size_t i = 0; i < job_.input_paths.size(); ++i)
      if (!(is_ledger && is_ledger_input(i)) && is_same_file(target, job_.input_paths[i]))
        refuse(target, in_quotes(job_.inputs[i]->name()) + ", which the job reads");
  }

  const Computation& c_;
  const Job& job_;
  fs::path out_;
  Messages& messages_;
};

/// Reads a job and computes it. `before_ledger` as for `read_job`.
std::unique_ptr<Computation> computed(const JobRequest& request, Need need,
                                      const BeforeLedger& before_ledger = {}) {
  Job job;
  PartMessages told;
  read_job(request.job, job, told, before_ledger);
  return std::make_unique<Computation>(std::move(job), std::move(told), need);
}

Exit exit_of(const Standing& s) { return s.outside ? Exit::outside : Exit::done; }

/// Reads and computes a job for a command that writes nothing and shows what `stages` found: their problems
/// stop it, no others. Its text begins with the verdict on the job, unless that is READY; where another part
/// of the job has problems there is no verdict, and that is told.
template <class Show>
JobOutcome look(const JobRequest& request, Need need, const Stages& stages, Messages& messages, Show show) {
  const auto c = computed(request, need);
  messages.merge(c->take_told(stages));
  if (messages.has_problems()) return {Exit::bad_input, "", "", ""};
  const Standing s = c->standing();
  JobOutcome outcome{exit_of(s), s.line, "", ""};
  if (const auto left = c->not_judged(stages); !left.empty()) {
    outcome.line.clear();
    messages.doubt("no verdict on the job", Where::whole(c->job.file), "file",
                   fmt::format("{} {} problems, so the job as a whole is not judged here: deckmark check "
                               "tells them",
                               fmt::join(left, ", "),
                               left.size() == 1 && !left.front().ends_with('s') ? "has" : "have"));
  }
  const std::string head = outcome.line.empty() ? "" : verdict_head(outcome.line);
  show(*c, outcome);
  if (messages.has_problems()) return {Exit::bad_input, "", "", ""};
  outcome.text = head + outcome.text;
  return outcome;
}

/// `name`: the setup that was asked for.
void tell_no_setup(const Job& job, const std::string& name, Messages& messages, std::string_view expected) {
  const std::string found = name.empty() ? "none" : fmt::format("setup {}", in_quotes(name));
  messages.problem(
      Where::whole(job.file), "setup",
      Fault{found, std::string(expected), name.empty() ? "[[setup]] with name, at and observations" : ""});
}

/// The setup of that name, or all; only those for which there is something.
template <class Has>
std::vector<std::size_t> chosen_setups(const Job& job, const std::string& name, Messages& messages, Has has) {
  std::vector<std::size_t> out;
  std::vector<std::string> names;
  bool known = false;
  for (std::size_t i = 0; i < job.instrument.setups.size(); ++i) {
    names.push_back(job.instrument.setups[i].name);
    const bool meant = name.empty() || same_name(names.back(), name);
    known = known || meant;
    if (meant && has(i)) out.push_back(i);
  }
  if (!known && !name.empty())
    messages.problem(
        Where::whole(job.file), "setup",
        Fault{in_quotes(name), "the name of a setup of the job", meant_word(name, names).value_or("")});
  return out;
}

/// Shots of another floor, where there are any.
void tell_floors(const Computation& c, Messages& messages, Grade grade) {
  if (const AsbuiltFound* found = c.asbuilt.get())
    tell_other_floors(c.views.asbuilt, *found, messages, grade);
}

/// What marks at their place on site with their numbers need, and more.
Stages laid_out_and(std::initializer_list<Stage> more) {
  Stages out(more);
  for (const Stage s :
       {Stage::site, Stage::hang, Stage::place, Stage::lengths, Stage::deck, Stage::lift, Stage::numbers})
    out.push_back(s);
  return out;
}

}  // namespace

JobOutcome check_job(const JobRequest& request, const fs::path& out, Messages& messages) {
  return look(request, Need::lists, all_stages(), messages, [&](const Computation& c, JobOutcome& outcome) {
    const Job& job = c.job;
    (void)JobRun(c, output_folder(job, out), messages).plan(outcome.line);
    tell_floors(c, messages, Grade::doubt);
    const std::size_t marks = c.hung.get() ? c.hung.value->marks.size() : 0;
    outcome.text =
        check_overview({marks, job.ties.size(), job.shots.size(), job.deck_marks.size(), job.control.size()},
                       messages.doubts()) +
        "\n" + (c.laid.get() ? changes_part(c.views.head, job.ledger, *c.laid.get()) + "\n" : "") +
        stages_text(c, "deckmark baseline shows them");
  });
}

JobOutcome verify_baselines(const JobRequest& request, Messages& messages) {
  const Stages stages{Stage::site, Stage::hang, Stage::place, Stage::lengths};
  return look(request, Need::drawing, stages, messages, [&](const Computation& c, JobOutcome& outcome) {
    const BaselinePage page = baselines_of(c);
    if (outcome.line.starts_with(kReady)) outcome.text = outcome.line + "\n\n";
    outcome.text += baseline_page_text(page, std::nullopt) + "\n";
    // Without a verdict on the job there is nothing to sign.
    if (!outcome.line.empty())
      outcome.text += signature_text(acceptance_of(page, outcome.line), c.job.revision) + "\n";
    outcome.text += cautions_text();
    if (const Placed* placed = c.placed.get(); request.csv && placed && placed->baseline)
      outcome.csv = csv_of(*baseline_table(c.views.baselines, *placed, c.views.head.list_unit));
  });
}

JobOutcome judge_asbuilt(const JobRequest& request, Messages& messages) {
  const Stages stages = laid_out_and({Stage::setups, Stage::asbuilt});
  return look(request, Need::marks, stages, messages, [&](const Computation& c, JobOutcome& outcome) {
    const AsbuiltFound* found = c.asbuilt.get();
    if (!found) {
      messages.problem(Where::whole(c.job.file), "asbuilt.shots",
                       Fault{"no table of shots", "the path of the as-built shots",
                             "shots = \"asbuilt.csv\" under [asbuilt]"});
      return;
    }
    tell_floors(c, messages, Grade::problem);
    outcome.text = asbuilt_part(c.views.asbuilt, *c.laid.get(), *found) + "\n" + cautions_text();
    if (request.csv) outcome.csv = csv_of(*asbuilt_table(*c.laid.get(), *found, c.views.head.list_unit));
  });
}

JobOutcome verify_setups(const JobRequest& request, Messages& messages) {
  const Stages stages = laid_out_and({Stage::setups});
  return look(request, Need::measured, stages, messages, [&](const Computation& c, JobOutcome& outcome) {
    const Setups* found = c.setups.get();
    if (!found || !found->any_computed()) {
      tell_no_setup(c.job, "", messages, "a setup with observations");
      return;
    }
    outcome.text = setups_of(c) + "\n" + cautions_text();
    if (!request.csv) return;
    const LengthUnit unit = c.views.head.list_unit;
    outcome.csv = csv_of(request.shots ? *shots_table(c.views.setups, *found, unit)
                                       : *setup_table(c.views.setups, *found, unit));
  });
}

JobOutcome list_stakes(const JobRequest& request, Messages& messages) {
  const Stages stages = laid_out_and({Stage::setups});
  return look(request, Need::marks, stages, messages, [&](const Computation& c, JobOutcome& outcome) {
    const Setups* found = c.setups.get();
    const auto chosen = chosen_setups(c.job, request.setup, messages, [&](std::size_t i) {
      return found && found->setups[i] && found->setups[i]->result.orientation.has_value();
    });
    if (messages.has_problems()) return;
    if (chosen.empty()) {
      tell_no_setup(c.job, request.setup, messages, "a setup with an orientation");
      return;
    }
    for (const std::size_t i : chosen) {
      const bool again = i != chosen.front() && !outcome.line.empty();
      outcome.text += (again ? verdict_head(outcome.line) : "") + stake_part(c.stake_words(), i) + "\n";
    }
    outcome.text += cautions_text();
    if (!request.csv) return;
    StakeList list = stake_list(c.views.stake, *found->setups[chosen.front()], *c.laid.get());
    outcome.csv =
        csv_of(*stake_table(c.views.setups, *c.laid.get(), std::move(list), c.views.head.list_unit));
  });
}

JobOutcome predict_plans(const JobRequest& request, Messages& messages) {
  const Stages stages = laid_out_and({Stage::setups});
  return look(request, Need::measured, stages, messages, [&](const Computation& c, JobOutcome& outcome) {
    const Setups* found = c.setups.get();
    const auto chosen = chosen_setups(c.job, request.setup, messages,
                                      [&](std::size_t i) { return found && found->plans[i].has_value(); });
    if (messages.has_problems()) return;
    if (chosen.empty()) {
      tell_no_setup(c.job, request.setup, messages, "a setup with a plan, plan = [\"CP1\", \"CP2\"]");
      return;
    }
    outcome.exit = Exit::done, outcome.line.clear();  // a prediction judges nothing
    for (const std::size_t i : chosen)
      outcome.text += (outcome.text.empty() ? "" : "\n") + plan_part(c.stake_words(), i);
    if (!request.csv) return;
    const LaidOut& laid = c.laid_or_none();
    StakeList list = planned_list(c.views.stake, *found->plans[chosen.front()], laid);
    outcome.csv = csv_of(*plan_table(c.views.setups, laid, std::move(list), c.views.head.list_unit));
  });
}

JobOutcome show_ground(const JobRequest& request, Messages& messages) {
  const Stages stages{Stage::site, Stage::hang, Stage::place, Stage::ground};
  return look(request, Need::measured, stages, messages, [&](const Computation& c, JobOutcome& outcome) {
    const GroundFound* found = c.ground.get();
    if (!found) {
      messages.problem(Where::whole(c.job.file), "site.crs",
                       Fault{"no map projection", "the system that the control was handed over in",
                             "crs = \"EPSG:32632\" under [site]"});
      return;
    }
    outcome.text = ground_of(c) + "\n" + cautions_text();
    if (request.csv) outcome.csv = csv_of(*ground_table(c.views.ground, *found, c.views.head.list_unit));
  });
}

namespace {

/// Inputs of a job, each with its digest.
std::vector<InputLine> inputs_of(const Job& job, bool with_ledger) {
  std::vector<InputLine> out;
  for (const auto& source : job.inputs)
    if (with_ledger || !job.ledger_table.table || source != job.ledger_table.table->source())
      out.push_back({source->name(), source->sha256()});
  return out;
}

std::string page_of_job(const Computation& c, std::string_view line, std::string_view program,
                        std::string_view points_sha256) {
  return page_of({c.views.head, c.views.baselines, c.job.control, c.job.overhead.runs, c.job.list.only,
                  *c.laid.get(), c.checked.get(), c.job.plumb, c.plumb.get(), c.views.asbuilt,
                  c.asbuilt.get(), inputs_of(c.job, false)},
                 line, program, points_sha256);
}

/// The numbers' changes and two listed marks to check by.
std::string numbers_text(const Computation& c) {
  const Job& job = c.job;
  const GroundFromGrid* grid = job.list.frame == ListFrame::grid ? &*job.ground.ground : nullptr;
  return changes_part(c.views.head, job.ledger, *c.laid.get()) + "\n" +
         check_lines(c.views.head, *c.laid.get(), job.list.only, grid) + "\n";
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
  messages.merge(c->take_told(all_stages()));
  if (messages.has_problems()) return {Exit::bad_input, "", "", ""};

  const Job& job = c->job;
  tell_floors(*c, messages, Grade::doubt);
  const fs::path folder = output_folder(job, out);
  if (fs::is_directory(folder, none)) batch.hold_folder(folder);
  JobRun run(*c, folder, messages);
  const Standing s = c->standing();
  std::vector<Planned> files = run.plan(s.line);
  if (messages.has_problems()) return {Exit::bad_input, "", "", ""};

  batch.hold_folder(folder);
  batch.keep_account(folder);
  const std::vector<fs::path> stale = run.stale(files);
  // Digests of the inputs are made beside the writing; the provenance needs them last.
  auto digests = begin_beside([&job] {
    for (const auto& source : job.inputs) (void)source->sha256();
  });
  std::vector<OutputFile> contents;
  for (Planned& p : files) contents.push_back(std::move(p.file));
  const std::vector<StagedFile> staged = batch.stage(std::move(contents));

  digests.get();
  std::vector<FileLine> lines;
  for (std::size_t i = 0; i < staged.size(); ++i)
    lines.push_back({files[i].shown, files[i].rows, files[i].numbers, staged[i].sha256, files[i].is_ledger});
  JobOutcome outcome{exit_of(s), s.line, s.line + "\n\n", ""};
  if (c->laid.get()) {
    // The page names the digest of points.csv, and the summary that of the page.
    const auto points = std::ranges::find(files, kPointsFile, &Planned::shown);
    std::vector<OutputFile> page;
    page.push_back(
        {folder / kPageFile,
         page_of_job(*c, s.line, program, staged[static_cast<std::size_t>(points - files.begin())].sha256)});
    lines.push_back({.name = std::string(kPageFile), .sha256 = batch.stage(std::move(page)).front().sha256});
    outcome.text += numbers_text(*c);
  }
  outcome.text +=
      files_text(lines) + "\n" + stages_text(*c, "see baseline.csv and checks.csv") + "\n" + cautions_text();
  std::vector<OutputFile> summary;
  summary.push_back({folder / kSummaryFile,
                     visible_lines(outcome.text + "\n" +
                                   provenance_text(program, job.title, job.revision, inputs_of(job, true)))});
  batch.stage(std::move(summary));
  if (request.csv)
    outcome.csv =
        csv_of(c->laid.get() ? *points_table(*c->laid.get(), c->views.head.list_unit)
                             : *setup_table(c->views.setups, *c->setups.get(), c->views.head.list_unit));
  show(outcome);
  batch.commit(stale);
  return outcome;
}

}  // namespace deckmark
