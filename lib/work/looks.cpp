#include <fmt/format.h>
#include <fmt/ranges.h>

#include <initializer_list>
#include <set>
#include <utility>

#include "lists/asbuilt.h"
#include "lists/checks.h"
#include "lists/heights.h"
#include "lists/offsets.h"
#include "lists/points.h"
#include "lists/setups.h"
#include "pages/asbuilt.h"
#include "pages/baselines.h"
#include "pages/offset_sheet.h"
#include "pages/parts.h"
#include "pages/setups.h"
#include "report/asbuilt_text.h"
#include "report/release_text.h"
#include "report/text.h"
#include "report/words.h"
#include "table/meant_word.h"
#include "work/job_texts.h"
#include "work/outputs.h"
#include "work/read_books.h"
#include "work/run_files.h"
#include "work/tape_sheet.h"

namespace deckmark {

namespace fs = std::filesystem;

namespace {

/// Reads and computes a job for a command that writes nothing: problems of what is shown stop it, and what
/// the job lacks for the command, which `lacks` tells, no others. Its text begins with the verdict on the
/// job, unless that is READY; where another part of the job has problems there is no verdict, and that is
/// told.
template <class Lacks, class Show>
JobOutcome look(const JobRequest& request, Need need, const Shown& shown, Messages& messages, Lacks lacks,
                Show show) {
  const auto c = computed(request, need);
  Messages lacking;  // asked before what is told is taken, told behind it
  if (!c->is_spoiled(Part::file)) lacks(*c, lacking);
  messages.merge(c->take_told(shown));
  messages.merge(std::move(lacking));
  if (messages.has_problems()) return ended_with_problems();
  JobOutcome outcome = outcome_of(c->standing());
  outcome.table.unit = c->views.head.list_unit;
  if (std::string left = c->not_judged(shown); !left.empty()) {
    outcome.withhold(std::move(left));
    messages.doubt("no verdict on the job", Where::whole(c->job.file), "file", outcome.no_verdict);
  }
  const std::string head = outcome.line.empty() ? "" : verdict_head(outcome.line);
  show(*c, outcome);
  if (messages.has_problems()) return ended_with_problems();
  const std::string release = release_text(c->views.head.release);
  outcome.text = head + release + (release.empty() ? "" : "\n") + outcome.text;
  return outcome;
}

/// `name`: the setup that was asked for.
void tell_no_setup(const Job& job, const std::string& name, Messages& messages, std::string_view expected,
                   std::string_view instead = "[[setup]] with name, at and observations") {
  const std::string found = name.empty() ? "none" : fmt::format("setup {}", in_quotes(name));
  messages.problem(Where::whole(job.file), "setup",
                   Fault{found, std::string(expected), name.empty() ? std::string(instead) : ""});
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
    messages.problem(Where::whole(job.file), "setup",
                     Fault{in_quotes(name),
                           names.empty() ? std::string("no setup: the job has none")
                                         : fmt::format("a setup of the job ({})", fmt::join(names, ", ")),
                           meant_word(name, names).value_or("")});
  return out;
}

/// The share of the crew of that name; of the whole job where none is asked for. Nothing where there is no
/// such crew (told).
std::optional<CrewShare> chosen_share(const Computation& c, const std::string& name, Messages& messages) {
  if (name.empty()) return CrewShare{};
  std::vector<std::string> names;
  for (std::size_t i = 0; i < c.job.crews.size(); ++i) {
    names.push_back(c.job.crews[i].name);
    if (c.crews.get() && same_name(names.back(), name)) return CrewShare(*c.crews.get(), i);
  }
  messages.problem(Where::whole(c.job.file), "crew",
                   Fault{in_quotes(name),
                         names.empty() ? std::string("no crew: the job has none")
                                       : fmt::format("a crew of the job ({})", fmt::join(names, ", ")),
                         meant_word(name, names).value_or("")});
  return std::nullopt;
}

/// What marks at their place on site with their numbers need, and more.
Stages laid_out_and(std::initializer_list<Stage> more) {
  Stages out(more);
  for (const Stage s : {Stage::site, Stage::hang, Stage::place, Stage::heights, Stage::deck, Stage::lift,
                        Stage::numbers, Stage::moved_control})
    out.push_back(s);
  return out;
}

/// How many points were marked on the deck: one has several rows where the laser was turned.
std::size_t deck_points(const Computation& c) {
  const Plumbed* plumb = c.plumb.get();
  if (!plumb) return c.job.deck_marks.size();
  return std::set<std::uint32_t>(plumb->marks.begin(), plumb->marks.end()).size();
}

bool lacks_marks(const Computation& c) { return c.laid.is_spoiled(); }
/// Of a command that works with any job.
constexpr auto kLacksNothing = [](const Computation&, Messages&) {};

}  // namespace

JobOutcome check_job(const JobRequest& request, const fs::path& out, Messages& messages) {
  return look(request, Need::lists, whole_job(), messages, kLacksNothing,
              [&](const Computation& c, JobOutcome& outcome) {
                const Job& job = c.job;
                (void)RunFiles(c, request, out, messages).plan(outcome.line);
                tell_floors(c, messages, Grade::doubt);
                const std::size_t marks = c.hung.get() ? c.hung.value->marks.size() : 0;
                outcome.text =
                    storey_line(job.storey) +
                    check_overview({.points = marks,
                                    .ties = job.ties.size(),
                                    .shots = job.shots.size(),
                                    .deck_marks = deck_points(c),
                                    .deck_readings = job.deck_marks.size(),
                                    .control = job.control.size(),
                                    .level = job.heights.level.size(),
                                    .laser = job.heights.laser.size()},
                                   messages.doubts()) +
                    "\n" +
                    (c.issue.get()
                         ? changes_part(c.views.head, c.views.issue, *c.issue.get(), *c.laid.get()) + "\n"
                         : "") +
                    stages_text(c, "deckmark baseline shows them");
              });
}

JobOutcome verify_baselines(const JobRequest& request, Messages& messages) {
  const Shown shown{{Stage::site, Stage::place, Stage::lengths, Stage::moved_control},
                    {{[](const Computation& c) { return c.hung.is_spoiled(); },
                      "the point farthest from the baselines is not known"},
                     {[](const Computation& c) {
                        return c.checked.is_spoiled() &&
                               (c.job.checks.lengths_table.table || c.job.checks.dimensions_table.table);
                      },
                      "lengths and dimensions are not held against the drawing"}}};
  return look(request, Need::drawing, shown, messages, kLacksNothing,
              [&](const Computation& c, JobOutcome& outcome) {
                BaselinePage page = baselines_of(c);
                page.details = request.details;
                if (outcome.line.starts_with(kReady)) outcome.text = outcome.line + "\n\n";
                outcome.text += baseline_page_text(page, std::nullopt) + "\n";
                // Without a verdict on the job there is nothing to sign.
                if (!outcome.line.empty())
                  outcome.text += signature_text(page, acceptance_of(page, outcome.line)) + "\n";
                outcome.text += cautions_text();
                if (const Placed* placed = c.placed.get(); request.with_rows && placed && placed->baseline)
                  outcome.table.put(*baseline_table(c.views.baselines, *placed, c.views.head.list_unit),
                                    kBaselineOutput.columns);
              });
}

JobOutcome judge_asbuilt(const JobRequest& request, Messages& messages) {
  const Shown shown{laid_out_and({Stage::asbuilt}),
                    {{[](const Computation& c) { return c.lacks_stations(); }, "causes are not looked for"},
                     {[](const Computation& c) { return c.is_spoiled(Part::brackets); },
                      "the heights of brackets that state none are not judged"}}};
  const auto lacks = [](const Computation& c, Messages& told) {
    if (c.job.asbuilt.table || c.is_spoiled(Part::asbuilt) || c.brackets.get()) return;
    if (c.job.named.asbuilt && is_from_book(*c.job.named.asbuilt))
      told.problem(
          Where::whole(book_name(c.job, "")), "file",
          Fault{"no cross that was read and stands", "crosses in the book: deckmark book makes it", ""});
    else
      told.problem(Where::whole(c.job.file), "asbuilt.shots",
                   Fault{"no table of shots", "the path of the as-built shots",
                         "shots = \"asbuilt.csv\" under [asbuilt]"});
  };
  std::string own;
  const auto show = [&](const Computation& c, JobOutcome& outcome) {
    const AsbuiltFound* found = c.asbuilt.get();
    tell_floors(c, messages, Grade::problem);
    if (found && own_readings(*found) > 0) own = own_words(own_readings(*found)) + "\n";
    outcome.text =
        (found ? asbuilt_part(c.views.asbuilt, *c.laid.get(), *found) + (c.brackets.get() ? "\n" : "") : "") +
        (c.brackets.get() ? brackets_text(heights_of(c, *c.heights.get())) : "") + "\n" + cautions_text();
    if (request.with_rows)
      outcome.table.put(*asbuilt_table(*c.laid.get(), found, c.brackets.get(), c.views.head.list_unit),
                        kAsbuiltOutput.columns);
  };
  JobOutcome outcome = look(request, Need::marks, shown, messages, lacks, show);
  outcome.text = own + outcome.text;
  return outcome;
}

JobOutcome verify_setups(const JobRequest& request, Messages& messages) {
  const Shown shown{{Stage::site, Stage::setups, Stage::moved_control},
                    {{lacks_marks, "sights to marks of the drawing are not held against them"}}};
  return look(
      request, Need::measured, shown, messages, kLacksNothing,
      [&](const Computation& c, JobOutcome& outcome) {
        const Setups* found = c.setups.get();
        if (!found || !found->any_computed()) {
          tell_no_setup(c.job, "", messages, "a setup with observations");
          return;
        }
        outcome.text = setups_of(c, request.details) + "\n" + cautions_text();
        if (!request.with_rows) return;
        MainTable& table = outcome.table;
        if (request.shots)
          table.put(*shots_table(c.views.setups, *found, c.views.head.list_unit), kShotsOutput.columns);
        else
          table.put(*setup_table(c.views.setups, *found, c.views.head.list_unit), kSetupOutput.columns);
      });
}

JobOutcome list_stakes(const JobRequest& request, Messages& messages) {
  Stages stages = laid_out_and({Stage::setups, Stage::stakes});
  if (!request.crew.empty()) stages.push_back(Stage::crews);
  const Shown shown{std::move(stages), {}, request.setup};
  return look(
      request, Need::marks, shown, messages, kLacksNothing, [&](const Computation& c, JobOutcome& outcome) {
        const Setups* found = c.setups.get();
        const auto share = chosen_share(c, request.crew, messages);
        const auto chosen = chosen_setups(c.job, request.setup, messages, [&](std::size_t i) {
          return found && found->setups[i] && found->setups[i]->result.orientation.has_value() &&
                 (!share || share->works_from(i));
        });
        if (messages.has_problems()) return;
        if (chosen.empty()) {
          tell_no_setup(c.job, request.setup, messages,
                        share->is_whole() ? std::string("a setup with an orientation")
                                          : fmt::format("a setup of crew {} with an orientation",
                                                        in_quotes(share->name())));
          return;
        }
        for (const std::size_t i : chosen) {
          const bool again = i != chosen.front() && !outcome.line.empty();
          outcome.text +=
              (again ? verdict_head(outcome.line) : "") + stake_part(c.stake_words(), i, *share) + "\n";
        }
        outcome.text += cautions_text();
        if (!request.with_rows) return;
        StakeList list = stake_list(c.views.stake, *found->setups[chosen.front()], *c.laid.get(), *share);
        outcome.table.put(
            *stake_table(c.views.setups, *c.laid.get(), std::move(list), c.views.head.list_unit),
            kStakeOutput.columns);
        outcome.table.setup = c.job.instrument.setups[chosen.front()].name;
        outcome.table.crew = share->name();
      });
}

JobOutcome show_offsets(const JobRequest& request, Messages& messages) {
  const Shown shown = whole_job();  // the crew leaves with it: nothing of the job may be wrong
  const auto lacks = [](const Computation& c, Messages& told) {
    if (!c.job.offsets.wanted && !c.is_spoiled(Part::offsets))
      told.problem(Where::whole(c.job.file), "offsets",
                   Fault{"no section [offsets]", "the section that asks for the sheet",
                         "[offsets] with unit = \"ft-in\" or unit = \"m\""});
  };
  return look(request, Need::marks, shown, messages, lacks, [&](const Computation& c, JobOutcome& outcome) {
    const auto share = chosen_share(c, request.crew, messages);
    if (share && (!share->does_marks() || share->is_empty()))
      messages.problem(Where::whole(c.job.file), "crew",
                       Fault{in_quotes(request.crew), "a crew that lays out marks of this drawing", ""});
    if (messages.has_problems()) return;
    const SheetDigests digests = digests_of_sheet(c);
    outcome.text = offset_screen(sheet_of(c, digests, outcome.line, *share));
    if (!request.with_rows) return;
    outcome.table.put(
        *offsets_table(c.job.offsets, c.job.overhead.runs, *c.laid.get(), *c.offsets.get(), *share),
        kOffsetsOutput.columns);
    outcome.table.unit = c.job.offsets.options.form.unit;
    outcome.table.crew = share->name();
  });
}

JobOutcome predict_plans(const JobRequest& request, Messages& messages) {
  const Shown shown{{Stage::site, Stage::plans, Stage::stakes, Stage::moved_control},
                    {{lacks_marks, "the marks of the drawing are left out"}},
                    request.setup};
  return look(request, Need::measured, shown, messages, kLacksNothing,
              [&](const Computation& c, JobOutcome& outcome) {
                const Setups* found = c.setups.get();
                const auto chosen = chosen_setups(c.job, request.setup, messages, [&](std::size_t i) {
                  return found && found->plans[i].has_value();
                });
                if (messages.has_problems()) return;
                if (chosen.empty()) {
                  tell_no_setup(c.job, request.setup, messages, "a setup with a plan",
                                "plan = [\"CP1\", \"CP2\"] in a [[setup]] with northing and easting");
                  return;
                }
                outcome.exit = Exit::done;
                outcome.withhold("a plan is a prediction: it judges nothing");
                for (const std::size_t i : chosen)
                  outcome.text += (outcome.text.empty() ? "" : "\n") + plan_part(c.stake_words(), i);
                if (!request.with_rows) return;
                const LaidOut& laid = c.laid_or_none();
                StakeList list = planned_list(c.views.stake, *found->plans[chosen.front()], laid);
                outcome.table.put(*plan_table(c.views.setups, laid, std::move(list), c.views.head.list_unit),
                                  kPlanOutput.columns);
                outcome.table.setup = c.job.instrument.setups[chosen.front()].name;
              });
}

JobOutcome show_heights(const JobRequest& request, Messages& messages) {
  // What a crew hears while the laser still stands: soffits too that cannot be.
  const Shown shown{{Stage::site, Stage::hang, Stage::heights, Stage::deck, Stage::lift, Stage::numbers},
                    {{lacks_marks, "brackets are not held against the drawing"}}};
  const auto lacks = [](const Computation& c, Messages& told) {
    if (!c.job.heights.wanted && !c.is_spoiled(Part::heights))
      told.problem(Where::whole(c.job.file), "heights.level",
                   Fault{"no readings", "the path of what a level or a laser read",
                         "laser = \"laser.csv\" under [heights]"});
  };
  return look(
      request, Need::measured, shown, messages, lacks, [&](const Computation& c, JobOutcome& outcome) {
        const HeightsFound* found = c.heights.get();
        if (!found) return;
        outcome.text = heights_text(heights_of(c, *found)) + "\n" + cautions_text();
        if (request.with_rows)
          outcome.table.put(*heights_table(c.views.heights, *found, c.numbers.get(), c.views.head.list_unit),
                            kHeightsOutput.columns);
      });
}

JobOutcome show_ground(const JobRequest& request, Messages& messages) {
  const Shown shown{{Stage::site, Stage::ground, Stage::moved_control},
                    {{lacks_marks, "the drawing is left out"}},
                    "",
                    {Stage::hang, Stage::place}};
  const auto lacks = [](const Computation& c, Messages& told) {
    if (!c.job.ground.states_crs)
      told.problem(Where::whole(c.job.file), "site.crs",
                   Fault{"no map projection", "the system that the control was handed over in",
                         "crs = \"EPSG:32632\" under [site]"});
  };
  return look(request, Need::measured, shown, messages, lacks,
              [&](const Computation& c, JobOutcome& outcome) {
                const GroundFound* found = c.ground.get();
                outcome.text = ground_of(c) + "\n" + cautions_text();
                if (request.with_rows)
                  outcome.table.put(*ground_table(c.views.ground, *found, c.views.head.list_unit),
                                    kGroundOutput.columns);
              });
}

}  // namespace deckmark
