#include "work/run.h"

#include "command.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"out", "DIR", "output folder (default: out beside the job file)", &Arguments::out},
    {"csv", "", "points.csv on standard output in place of the text", &Arguments::csv},
    kJsonOption,
    {"since", "N", "changes since issue N, in changes.csv too", &Arguments::since},
    {"take-over", "OLD", "the job file was called OLD: go on with its ledger", &Arguments::take_over},
    {"above", "N", "a new ledger in place of one that is lost: its numbers begin above N", &Arguments::above},
    {"details", "", "all that was found, as summary.txt has it", &Arguments::details},
};
constexpr std::string_view kExamples[] = {"deckmark run foyer-m --out issued/C-2"};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  // Results are printed before anything is replaced: where they cannot be, what stood before still stands.
  const auto show_ready = [&](const JobOutcome& ready) {
    tell(messages, arguments, streams);
    show(ready, messages, arguments, streams);
  };
  JobRequest request{job_of(arguments), wants_table(arguments)};
  request.details = arguments.details;
  request.since = arguments.since;
  request.take_over = arguments.take_over;
  request.above = arguments.above;
  const JobOutcome outcome = run_job(request, arguments.out, program_name(), messages, show_ready);
  if (messages.has_problems()) {
    tell(messages, arguments, streams);
    return refuse(messages, arguments, streams, "nothing was written");
  }
  tell_standing(outcome, arguments, streams);
  return outcome.exit;
}

}  // namespace

const CommandSpec kRunCommand{
    "run",
    CommandGroup::every_job,
    kJobOperand,
    "everything that the job has data for: lists, checks, summary",
    "Maps every drawing point to the site, lifts it to the deck, assigns numbers that stay for the life of "
    "the "
    "job, checks ties and deck marks, and writes floor and deck lists, points.csv, checks and summary.txt to "
    "the output folder. Lengths are in the list unit of the job (default: the site unit, m).",
    kExamples,
    "0 done and all within, 1 done and written but something is outside, 2 problems and nothing written, 3 "
    "the "
    "system failed and what stood still stands.",
    kOptions,
    run};

}  // namespace deckmark
