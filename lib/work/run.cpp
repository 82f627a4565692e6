#include "work/run.h"

#include <fmt/format.h>

#include <algorithm>
#include <cerrno>
#include <future>
#include <set>
#include <sstream>
#include <system_error>

#include "exporter/batch.h"
#include "marks/check_pair.h"
#include "measure/angle_text.h"
#include "measure/visible_lines.h"
#include "report/baseline_page.h"
#include "report/files_text.h"
#include "report/text.h"
#include "table/digest.h"
#include "table/meant_word.h"
#include "work/ground.h"
#include "work/instrument_parts.h"
#include "work/left_behind.h"
#include "work/output_tables.h"
#include "work/outputs.h"
#include "work/overhead.h"
#include "work/page.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

/// What needs no place of the drawing on site. Points of the drawing that were sighted are side shots then,
/// from which ties can be made.
void compute_measured(const Job& job, Found& found, Messages& messages) {
  if (job.has_drawing) check_lengths(job, found, messages);
  set_up(job, found, messages);
  if (!messages.has_problems()) look_at_ground(job, found, messages);
}

}  // namespace

void compute(Job& job, Found& found, Messages& messages, Need need) {
  look_at_site_place(job, need, messages);
  if (messages.has_problems()) return;
  if (job.has_drawing) plan_overhead(job, found, messages);
  if (messages.has_problems()) return;
  if (!has_site_place(job)) {
    compute_measured(job, found, messages);
    return;
  }
  auto near = begin_near_pairs(job);
  place(job, found, messages);
  if (messages.has_problems()) return;
  lift_marks(job, found, messages);
  number_marks(job, found, messages);
  if (messages.has_problems()) return;
  check_plumb(job, found, messages);
  cut_hangers(job, found, messages);
  set_up(job, found, messages);
  if (messages.has_problems()) return;
  check_asbuilt(job, found, messages);
  look_at_ground(job, found, messages);
  look_at_drawing(job, found, std::move(near), messages);
  look_at_offsets(job, found, messages);
  if (job.list.split == ListSplit::run)
    (void)list_files(job, found, messages);  // two runs may want one file name
  look_at_lists(job, found, messages);
}

namespace {

std::string plumb_part(const Job& job, const Found& found) {
  const std::vector<PlumbLine> lines = plumb_lines(job, found);
  return lines.empty() ? "" : plumb_text(lines, job.plumb, job.site_unit);
}

std::string deck_part(const Job& job, const Found& found) {
  if (!found.deck || !found.overhead.bays.decks.empty()) return "";
  return deck_text(*found.deck, found.deck_fit ? &*found.deck_fit : nullptr, floor_of(job), job.site_unit,
                   north_word(job));
}

/// What changed since the last issue, by number.
std::string changes_part(const Job& job, const Found& found) {
  std::vector<ChangeLine> lines;
  const std::vector<ChangeRow>& changes = found.issue.changes;
  const bool first = job.ledger.size() == 0;
  if (!first)
    for (const ChangeRow& c : changes) {
      ChangeLine line{c.number, c.mark == kNone32 ? job.ledger.names[c.entry] : job.marks.names[c.mark],
                      c.change, change_by(found, c),
                      "",       0};
      if (c.change == Change::renamed) {
        line.old_name = job.ledger.names[c.entry];
        line.old_number = job.ledger.numbers[c.entry];
      }
      lines.push_back(line);
    }
  return changes_text(lines, first, job.marks.size(), job.drawing_unit);
}

/// First and last number of what the floor list holds, and how the two lie to one another.
std::string check_lines(const Job& job, const Found& found) {
  const auto& numbers = found.issue.numbers;
  std::vector<std::uint8_t> listed;
  if (!job.list.only.empty())
    for (std::size_t m = 0; m < numbers.size(); ++m) listed.push_back(is_listed(job, m) ? 1 : 0);
  const CheckPair pair = check_pair(found.placed.marks, numbers, listed);
  const Point<Site>&from = found.placed.marks[pair.from], &to = found.placed.marks[pair.to];
  const auto text = [&](Length apart, const auto& v, std::string_view north) {
    return check_text(numbers[pair.from], numbers[pair.to], apart,
                      apart > kHair ? std::optional(azimuth_of(v)) : std::nullopt, pair.shows_exchange,
                      *job.list.unit, north);
  };
  if (job.list.frame == ListFrame::ground) return text(distance(from, to), to - from, north_word(job));
  const Point<Grid> a = job.ground.ground->to_grid(from), b = job.ground.ground->to_grid(to);
  return text(distance(a, b), b - a, "grid north; a GRID distance, as the lists are");
}

/// `rest`: where rows stand that find no room in it.
std::string stages_text(const Job& job, const Found& found, std::string_view rest) {
  std::string text = job.has_drawing ? baseline_page_text(baseline_page(job, found), rest) : "";
  for (const std::string& part : {ground_part(job, found), deck_part(job, found), overhead_part(job, found),
                                  plumb_part(job, found), setups_part(job, found), asbuilt_part(job, found)})
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
  JobRun(const Job& job, const Found& found, fs::path out, Messages& messages)
      : job_(job), found_(found), out_(std::move(out)), messages_(messages) {}

  /// Every file but the page and the summary, the ledger first. Problems: an output that would replace an
  /// input.
  std::vector<Planned> plan(std::string_view verdict) {
    std::vector<Planned> files;
    for (Output& o : plan_outputs(job_, found_, verdict, messages_)) {
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
      if (!made && !is_input && !(name == kPageFile && has_site_place(job_))) out.push_back(target);
    }
    return out;
  }

 private:
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
    if (has_site_place(job_)) place.made.insert(std::string(kPageFile));
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

  const Job& job_;
  const Found& found_;
  fs::path out_;
  Messages& messages_;
};

std::string provenance(const Job& job, std::string_view program) {
  std::vector<InputLine> inputs;
  for (const auto& source : job.inputs) inputs.push_back({source->name(), source->sha256()});
  return provenance_text(program, job.title, job.revision, inputs);
}

/// Reads and computes a job for a command that writes nothing. Its text begins with the verdict on the job,
/// unless that is READY.
template <class Show>
JobOutcome look(const JobRequest& request, Need need, Messages& messages, Show show) {
  Job job;
  Found found;
  PartMessages told;
  read_job(request.job, job, told);
  messages.merge(std::move(told).merged());
  compute(job, found, messages, need);
  if (messages.has_problems()) return {Exit::bad_input, "", "", ""};
  const Standing s = standing(job, found);
  JobOutcome outcome{s.exit, s.line, "", ""};
  show(job, found, outcome);
  if (messages.has_problems()) return {Exit::bad_input, "", "", ""};
  outcome.text = verdict_head(s.line) + outcome.text;
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

}  // namespace

JobOutcome check_job(const JobRequest& request, const fs::path& out, Messages& messages) {
  return look(request, Need::lists, messages, [&](const Job& job, const Found& found, JobOutcome& outcome) {
    (void)JobRun(job, found, output_folder(job, out), messages).plan(outcome.line);
    tell_other_floors(job, found, messages, Grade::doubt);
    outcome.text = check_overview({job.marks.size(), job.ties.size(), job.shots.size(), job.deck_marks.size(),
                                   job.control.size()},
                                  messages.doubts()) +
                   "\n" + (job.has_drawing ? changes_part(job, found) + "\n" : "") +
                   stages_text(job, found, "deckmark baseline shows them");
  });
}

JobOutcome verify_baselines(const JobRequest& request, Messages& messages) {
  return look(request, Need::drawing, messages, [&](const Job& job, const Found& found, JobOutcome& outcome) {
    const BaselinePage page = baseline_page(job, found);
    if (outcome.line.starts_with(kReady)) outcome.text = outcome.line + "\n\n";
    outcome.text += baseline_page_text(page, std::nullopt) + "\n" +
                    signature_text(acceptance_of(page, outcome.line), job.revision) + "\n" + cautions_text();
    if (request.csv && found.placed.baseline) outcome.csv = csv_of(*baseline_table(job, found));
  });
}

JobOutcome judge_asbuilt(const JobRequest& request, Messages& messages) {
  return look(request, Need::marks, messages, [&](const Job& job, const Found& found, JobOutcome& outcome) {
    if (!job.asbuilt.table) {
      messages.problem(Where::whole(job.file), "asbuilt.shots",
                       Fault{"no table of shots", "the path of the as-built shots",
                             "shots = \"asbuilt.csv\" under [asbuilt]"});
      return;
    }
    tell_other_floors(job, found, messages, Grade::problem);
    outcome.text = asbuilt_part(job, found) + "\n" + cautions_text();
    if (request.csv) outcome.csv = csv_of(*asbuilt_table(job, found));
  });
}

JobOutcome verify_setups(const JobRequest& request, Messages& messages) {
  return look(request, Need::measured, messages,
              [&](const Job& job, const Found& found, JobOutcome& outcome) {
                if (!has_setups(found)) {
                  tell_no_setup(job, "", messages, "a setup with observations");
                  return;
                }
                outcome.text = setups_part(job, found) + "\n" + cautions_text();
                if (request.csv)
                  outcome.csv = csv_of(request.shots ? *shots_table(job, found) : *setup_table(job, found));
              });
}

JobOutcome list_stakes(const JobRequest& request, Messages& messages) {
  return look(request, Need::marks, messages, [&](const Job& job, const Found& found, JobOutcome& outcome) {
    const auto chosen = chosen_setups(job, request.setup, messages, [&](std::size_t i) {
      return found.instrument.setups[i].has_value() &&
             found.instrument.setups[i]->result.orientation.has_value();
    });
    if (messages.has_problems()) return;
    if (chosen.empty()) {
      tell_no_setup(job, request.setup, messages, "a setup with an orientation");
      return;
    }
    for (const std::size_t i : chosen)
      outcome.text +=
          (i == chosen.front() ? "" : verdict_head(outcome.line)) + stake_part(job, found, i) + "\n";
    outcome.text += cautions_text();
    if (request.csv) outcome.csv = csv_of(*stake_table(job, found, stake_list(job, found, chosen.front())));
  });
}

JobOutcome predict_plans(const JobRequest& request, Messages& messages) {
  return look(
      request, Need::measured, messages, [&](const Job& job, const Found& found, JobOutcome& outcome) {
        const auto chosen = chosen_setups(job, request.setup, messages, [&](std::size_t i) {
          return found.instrument.plans[i].has_value();
        });
        if (messages.has_problems()) return;
        if (chosen.empty()) {
          tell_no_setup(job, request.setup, messages, "a setup with a plan, plan = [\"CP1\", \"CP2\"]");
          return;
        }
        outcome.exit = Exit::done, outcome.line.clear();  // a prediction judges nothing
        for (const std::size_t i : chosen)
          outcome.text += (outcome.text.empty() ? "" : "\n") + plan_part(job, found, i);
        if (request.csv)
          outcome.csv = csv_of(*plan_table(job, found, planned_list(job, found, chosen.front())));
      });
}

JobOutcome show_ground(const JobRequest& request, Messages& messages) {
  return look(
      request, Need::measured, messages, [&](const Job& job, const Found& found, JobOutcome& outcome) {
        if (!job.ground.ground) {
          messages.problem(Where::whole(job.file), "site.crs",
                           Fault{"no map projection", "the system that the control was handed over in",
                                 "crs = \"EPSG:32632\" under [site]"});
          return;
        }
        outcome.text = ground_part(job, found) + "\n" + cautions_text();
        if (request.csv) outcome.csv = csv_of(*ground_table(job, found));
      });
}

JobOutcome run_job(const JobRequest& request, const fs::path& out, std::string_view program,
                   Messages& messages, const std::function<void(const JobOutcome&)>& show) {
  std::optional<JobLock> job_lock;
  std::error_code none;
  if (const auto file = job_file_of(request.job); file && fs::is_regular_file(*file, none))
    job_lock.emplace(*file);
  Batch batch;
  Job job;
  Found found;
  // Whoever shares the ledger waits from before it is read until all that names its numbers is in place.
  PartMessages told;
  read_job(request.job, job, told,
           [&batch](const fs::path& ledger) { batch.hold_folder(ledger.parent_path()); });
  messages.merge(std::move(told).merged());
  compute(job, found, messages, Need::lists);
  if (messages.has_problems()) return {Exit::bad_input, "", "", ""};

  tell_other_floors(job, found, messages, Grade::doubt);
  const fs::path folder = output_folder(job, out);
  if (fs::is_directory(folder, none)) batch.hold_folder(folder);
  JobRun run(job, found, folder, messages);
  const Standing s = standing(job, found);
  std::vector<Planned> files = run.plan(s.line);
  if (messages.has_problems()) return {Exit::bad_input, "", "", ""};

  batch.hold_folder(folder);
  batch.keep_account(folder);
  const std::vector<fs::path> stale = run.stale(files);
  // Digests of the inputs are made beside the writing; the provenance needs them last.
  auto digests = std::async(std::launch::async, [&job] {
    for (const auto& source : job.inputs) (void)source->sha256();
  });
  std::vector<OutputFile> contents;
  for (Planned& p : files) contents.push_back(std::move(p.file));
  const std::vector<StagedFile> staged = batch.stage(std::move(contents));

  digests.get();
  std::vector<FileLine> lines;
  for (std::size_t i = 0; i < staged.size(); ++i)
    lines.push_back({files[i].shown, files[i].rows, files[i].numbers, staged[i].sha256, files[i].is_ledger});
  JobOutcome outcome{s.exit, s.line, s.line + "\n\n", ""};
  if (job.has_drawing) {
    // The page names the digest of points.csv, and the summary that of the page.
    const auto points = std::ranges::find(files, kPointsFile, &Planned::shown);
    std::vector<OutputFile> page;
    page.push_back(
        {folder / kPageFile, page_of(job, found, s.line, program,
                                     staged[static_cast<std::size_t>(points - files.begin())].sha256)});
    lines.push_back({.name = std::string(kPageFile), .sha256 = batch.stage(std::move(page)).front().sha256});
    outcome.text += changes_part(job, found) + "\n" + check_lines(job, found) + "\n";
  }
  outcome.text += files_text(lines) + "\n" + stages_text(job, found, "see baseline.csv and checks.csv") +
                  "\n" + cautions_text();
  std::vector<OutputFile> summary;
  summary.push_back({folder / kSummaryFile, visible_lines(outcome.text + "\n" + provenance(job, program))});
  batch.stage(std::move(summary));
  if (request.csv)
    outcome.csv = csv_of(job.has_drawing ? *points_table(job, found) : *setup_table(job, found));
  show(outcome);
  batch.commit(stale);
  return outcome;
}

}  // namespace deckmark
