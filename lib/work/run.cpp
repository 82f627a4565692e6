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
#include "report/baseline_page.h"
#include "report/text.h"
#include "table/digest.h"
#include "work/ground.h"
#include "work/instrument_parts.h"
#include "work/output_tables.h"
#include "work/overhead.h"
#include "work/page.h"

namespace deckmark {

namespace fs = std::filesystem;

void compute(Job& job, Found& found, Messages& messages) {
  if (messages.has_problems()) return;
  plan_overhead(job, found, messages);
  if (messages.has_problems()) return;
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

std::string csv_of(const WrittenTable& table) {
  std::string out;
  table.write([&out](const char* data, std::size_t size) { out.append(data, size); });
  return out;
}

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

std::string stages_text(const Job& job, const Found& found) {
  std::string text = baseline_page_text(baseline_page(job, found));
  for (const std::string& part : {ground_part(job, found), deck_part(job, found), overhead_part(job, found),
                                  plumb_part(job, found), setups_part(job, found), asbuilt_part(job, found)})
    if (!part.empty()) text += "\n" + part;
  return text;
}

/// A planned file and the numbers that it starts and ends with.
struct Planned {
  OutputFile file;
  std::optional<std::pair<std::int64_t, std::int64_t>> numbers;
  std::string shown;  ///< its name in the summary
};

class JobRun {
 public:
  JobRun(const Job& job, const Found& found, fs::path out, Messages& messages)
      : job_(job), found_(found), out_(std::move(out)), messages_(messages) {}

  /// Every file but the page and the summary, the ledger first. Problems: an output that would replace an
  /// input.
  std::vector<Planned> plan() {
    std::vector<Planned> files;
    const auto& numbers = found_.issue.numbers;
    const auto span = std::minmax_element(numbers.begin(), numbers.end());
    const std::pair<std::int64_t, std::int64_t> all{*span.first, *span.second};
    files.push_back({{job_.ledger_path, ledger_table(job_, found_)}, all, job_.ledger_file});
    for (ListFile& list : list_files(job_, found_, messages_)) {
      const std::string name = list.name;
      std::optional<std::pair<std::int64_t, std::int64_t>> ends;
      if (!list.rows.empty()) {
        const std::int64_t add = list.level == ListFile::Level::deck ? job_.numbers.deck_offset : 0;
        ends = {numbers[list.rows.front()] + add, numbers[list.rows.back()] + add};
      }
      files.push_back({{out_ / name, list_table(job_, found_, std::move(list))}, ends, name});
    }
    const auto table = [&](std::string name, std::unique_ptr<WrittenTable> t,
                           std::optional<std::pair<std::int64_t, std::int64_t>> ends) {
      files.push_back({{out_ / name, std::move(t)}, ends, name});
    };
    table("points.csv", points_table(job_, found_), all);
    if (job_.deck_marks_table.table) table("plumb.csv", plumb_table(job_, found_), std::nullopt);
    if (found_.placed.baseline) table("baseline.csv", baseline_table(job_, found_), std::nullopt);
    if (job_.ground.ground) table("ground.csv", ground_table(job_, found_), std::nullopt);
    if (has_checks(found_)) table("checks.csv", checks_table(job_, found_), std::nullopt);
    if (job_.asbuilt.table) {
      table("asbuilt.csv", asbuilt_table(job_, found_), std::nullopt);
      table("causes.csv", causes_table(job_, found_), std::nullopt);
    }
    setups(files, table);
    if (job_.offsets.wanted) {
      table("offsets.csv", offsets_table(job_, found_), all);
      files.push_back({{out_ / "offset-sheet.txt",
                        offset_sheet(job_, found_, sha256_hex(csv_of(*points_table(job_, found_))))},
                       all,
                       "offset-sheet.txt"});
    }
    for (auto& [name, t] : overhead_tables(job_, found_)) table(name, std::move(t), std::nullopt);
    table("changes.csv", changes_table(job_, found_), std::nullopt);
    for (const Planned& p : files) keep_inputs(p.file.target, &p == &files.front());
    for (const std::string_view name : {kPage, kSummary}) keep_inputs(out_ / name, false);
    for (std::size_t i = 1; i < files.size(); ++i)
      if (is_same(files[i].file.target, job_.ledger_path)) refuse(files[i].file.target, "the ledger");
    for (const std::string_view name : {kPage, kSummary})
      if (is_same(out_ / name, job_.ledger_path)) refuse(out_ / name, "the ledger");
    tell_foreign(files);
    tell_lost_numbers();
    return files;
  }

  /// Setups, their sights, side shots and stake lists; what was planned.
  template <class Add>
  void setups(std::vector<Planned>& files, const Add& table) const {
    if (has_setups(found_)) {
      table("setup.csv", setup_table(job_, found_), std::nullopt);
      table("sights.csv", sights_table(job_, found_), std::nullopt);
    }
    for (std::size_t i = 0; i < job_.instrument.setups.size(); ++i) {
      const std::string& name = job_.instrument.setups[i].name;
      if (found_.instrument.setups[i]) {
        if (job_.instrument.setups[i].table)
          table(fmt::format("shots-{}.csv", name), shots_table(job_, found_, i), std::nullopt);
        StakeList list = stake_list(job_, found_, i);
        if (!list.lines.empty()) {
          const std::string sheets = fmt::format("stake-{}.txt", name);
          files.push_back({{out_ / sheets, stake_sheets_of(job_, found_, i, list)}, std::nullopt, sheets});
          table(fmt::format("stake-{}.csv", name), stake_table(job_, found_, std::move(list)), std::nullopt);
        }
      }
      if (found_.instrument.plans[i])
        table(fmt::format("plan-{}.csv", name), plan_table(job_, found_, planned_list(job_, found_, i)),
              std::nullopt);
    }
  }

  /// Files that an earlier run named in its summary and this one does not make.
  std::vector<fs::path> stale(const std::vector<Planned>& files) const {
    std::vector<fs::path> out;
    for (const std::string& name : earlier()) {
      const fs::path target = out_ / name;
      const bool made = std::ranges::any_of(files, [&](const Planned& p) { return p.file.target == target; });
      const bool is_input =
          std::ranges::any_of(job_.input_paths, [&](const fs::path& in) { return is_same(in, target); });
      if (!made && !is_input && name != kSummary && name != kPage) out.push_back(target);
    }
    return out;
  }

  static constexpr std::string_view kPage = "report.html", kSummary = "summary.txt";

 private:
  /// Files that stand in the way and that no earlier run names in its summary: they are replaced. What is no
  /// file cannot be.
  void tell_foreign(const std::vector<Planned>& files) const {
    const std::set<std::string> made = earlier();
    for (std::size_t i = 0; i < files.size(); ++i) {
      std::error_code none;
      const fs::path& target = files[i].file.target;
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
      else if (i > 0 && fs::is_regular_file(target, none) && made.count(files[i].shown) == 0 && !was_killed())
        tell("a run replaces it, and no earlier run made it");
    }
  }
  /// A ledger that has fewer numbers than the last run here left in it: numbers would be given to other
  /// points.
  void tell_lost_numbers() const {
    const auto left = ledger_of_summary(summary());
    if (!left || left->name != job_.ledger_file || left->rows <= job_.ledger.size()) return;
    messages_.doubt(
        "numbers that were lost", Where::whole(job_.ledger_file), "file",
        fmt::format("it holds {} number{}, and {} says that the last run left {} in it: numbers that stand "
                    "on the floor would be given to other points; put the ledger of that run back",
                    job_.ledger.size(), job_.ledger.size() == 1 ? "" : "s", (out_ / kSummary).string(),
                    left->rows));
  }
  std::string summary() const {
    const auto read = read_source(out_ / kSummary, std::string(kSummary));
    const auto* source = std::get_if<std::shared_ptr<const Source>>(&read);
    return source ? std::string((*source)->text()) : "";
  }
  /// Files named in the summary of an earlier run.
  std::set<std::string> earlier() const {
    const auto names = files_of_summary(summary());
    return {names.begin(), names.end()};
  }
  /// A run that was killed leaves temporary files, and perhaps lists that no summary names yet.
  bool was_killed() const {
    std::error_code none;
    for (const auto& entry : fs::directory_iterator(out_, none))
      if (entry.path().filename().string().starts_with(".deckmark-")) return true;
    return false;
  }
  static bool is_same(const fs::path& a, const fs::path& b) {
    std::error_code bad;
    if (fs::equivalent(a, b, bad) && !bad) return true;
    return fs::weakly_canonical(fs::absolute(a, bad), bad) == fs::weakly_canonical(fs::absolute(b, bad), bad);
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
      if (!(is_ledger && is_ledger_input(i)) && is_same(target, job_.input_paths[i]))
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

fs::path output_folder(const Job& job, const fs::path& out) { return out.empty() ? job.folder / "out" : out; }

/// Reads and computes a job for a command that writes nothing.
template <class Show>
JobOutcome look(const JobRequest& request, Messages& messages, Show show) {
  Job job;
  Found found;
  read_job(request.job, job, messages);
  compute(job, found, messages);
  if (messages.has_problems()) return {Exit::bad_input, "", "", ""};
  const Standing s = standing(job, found);
  JobOutcome outcome{s.exit, s.line, "", ""};
  show(job, found, outcome);
  if (messages.has_problems()) return {Exit::bad_input, "", "", ""};
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
        Fault{in_quotes(name), "the name of a setup of the job", nearest_word(name, names).value_or("")});
  return out;
}

}  // namespace

JobOutcome check_job(const JobRequest& request, const fs::path& out, Messages& messages) {
  return look(request, messages, [&](const Job& job, const Found& found, JobOutcome& outcome) {
    (void)JobRun(job, found, output_folder(job, out), messages).plan();
    tell_other_floors(job, found, messages, Grade::doubt);
    outcome.text = check_overview({job.marks.size(), job.ties.size(), job.shots.size(), job.deck_marks.size(),
                                   job.control.size()},
                                  messages.doubts()) +
                   "\n" + changes_part(job, found) + "\n" + stages_text(job, found);
  });
}

JobOutcome verify_baselines(const JobRequest& request, Messages& messages) {
  return look(request, messages, [&](const Job& job, const Found& found, JobOutcome& outcome) {
    outcome.text = wrapped_line(outcome.line) + "\n" + baseline_page_text(baseline_page(job, found)) + "\n" +
                   signature_text(job.revision) + "\n" + cautions_text();
    if (request.csv && found.placed.baseline) outcome.csv = csv_of(*baseline_table(job, found));
  });
}

JobOutcome judge_asbuilt(const JobRequest& request, Messages& messages) {
  return look(request, messages, [&](const Job& job, const Found& found, JobOutcome& outcome) {
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
  return look(request, messages, [&](const Job& job, const Found& found, JobOutcome& outcome) {
    if (!has_setups(found)) {
      tell_no_setup(job, "", messages, "a setup with observations");
      return;
    }
    outcome.text = setups_part(job, found) + "\n" + cautions_text();
    if (request.csv) outcome.csv = csv_of(*setup_table(job, found));
  });
}

JobOutcome list_stakes(const JobRequest& request, Messages& messages) {
  return look(request, messages, [&](const Job& job, const Found& found, JobOutcome& outcome) {
    const auto chosen = chosen_setups(job, request.setup, messages, [&](std::size_t i) {
      return found.instrument.setups[i].has_value() &&
             found.instrument.setups[i]->result.orientation.has_value();
    });
    if (messages.has_problems()) return;
    if (chosen.empty()) {
      tell_no_setup(job, request.setup, messages, "a setup with an orientation");
      return;
    }
    for (const std::size_t i : chosen) outcome.text += stake_part(job, found, i) + "\n";
    outcome.text += cautions_text();
    if (request.csv) outcome.csv = csv_of(*stake_table(job, found, stake_list(job, found, chosen.front())));
  });
}

JobOutcome predict_plans(const JobRequest& request, Messages& messages) {
  return look(request, messages, [&](const Job& job, const Found& found, JobOutcome& outcome) {
    const auto chosen = chosen_setups(job, request.setup, messages,
                                      [&](std::size_t i) { return found.instrument.plans[i].has_value(); });
    if (messages.has_problems()) return;
    if (chosen.empty()) {
      tell_no_setup(job, request.setup, messages, "a setup with a plan, plan = [\"CP1\", \"CP2\"]");
      return;
    }
    outcome.exit = Exit::done, outcome.line.clear();  // a prediction judges nothing
    for (const std::size_t i : chosen)
      outcome.text += (outcome.text.empty() ? "" : "\n") + plan_part(job, found, i);
    if (request.csv) outcome.csv = csv_of(*plan_table(job, found, planned_list(job, found, chosen.front())));
  });
}

JobOutcome show_ground(const JobRequest& request, Messages& messages) {
  return look(request, messages, [&](const Job& job, const Found& found, JobOutcome& outcome) {
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
  if (const auto file = job_file_of(request.job)) job_lock.emplace(*file);
  Job job;
  Found found;
  read_job(request.job, job, messages);
  compute(job, found, messages);
  if (messages.has_problems()) return {Exit::bad_input, "", "", ""};

  tell_other_floors(job, found, messages, Grade::doubt);
  const fs::path folder = output_folder(job, out);
  JobRun run(job, found, folder, messages);
  std::vector<Planned> files = run.plan();
  if (messages.has_problems()) return {Exit::bad_input, "", "", ""};
  const Standing s = standing(job, found);

  Batch batch;
  batch.make_folder(folder);
  if (job.ledger_path.has_parent_path()) batch.make_folder(job.ledger_path.parent_path());
  const JobLock folder_lock(folder);
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
    lines.push_back({files[i].shown, staged[i].rows, files[i].numbers, staged[i].sha256, i == 0});
  // The page names the digest of points.csv, and the summary that of the page.
  const auto points = std::ranges::find(files, "points.csv", &Planned::shown);
  std::vector<OutputFile> page;
  page.push_back(
      {folder / JobRun::kPage, page_of(job, found, s.line, program,
                                       staged[static_cast<std::size_t>(points - files.begin())].sha256)});
  lines.push_back(
      {std::string(JobRun::kPage), 0, std::nullopt, batch.stage(std::move(page)).front().sha256, false});
  JobOutcome outcome{s.exit, s.line, "", ""};
  outcome.text = s.line + "\n\n" + changes_part(job, found) + "\n" + check_lines(job, found) + "\n" +
                 files_text(lines) + "\n" + stages_text(job, found) + "\n" + cautions_text();
  std::vector<OutputFile> summary;
  summary.push_back({folder / JobRun::kSummary, outcome.text + "\n" + provenance(job, program)});
  batch.stage(std::move(summary));
  if (request.csv) outcome.csv = csv_of(*points_table(job, found));
  show(outcome);
  batch.commit(stale);
  return outcome;
}

}  // namespace deckmark
