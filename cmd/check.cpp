#include <fmt/format.h>

#include "command.h"
#include "work/answer_json.h"
#include "work/run.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"out", "DIR", "folder that a run would write (default: out beside the job)", &Arguments::out},
    {"csv", "", "as CSV: file, line, column, grade, field, text", &Arguments::csv},
    kJsonOption,
    {"since", "N", "changes since issue N", &Arguments::since},
};
constexpr std::string_view kExamples[] = {"deckmark check atrium-ft-in", "deckmark check gallery-m hall-m"};

constexpr OperandSpec kOperand{"[JOB ...]", 0, 1000};
constexpr std::string_view kNotDone = "the job cannot be run";

Exit check_one(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  JobRequest request{job_of(arguments)};
  request.since = arguments.since;
  JobOutcome outcome = check_job(request, arguments.out, messages);
  tell(messages, arguments, streams);
  if (wants_table(arguments)) put_messages(messages, outcome.table);
  if (arguments.csv) streams.table(outcome.table.csv);
  if (messages.has_problems()) return refuse(messages, arguments, streams, kNotDone);
  if (!arguments.csv) show(outcome, messages, arguments, streams);
  tell_standing(outcome, arguments, streams);
  return outcome.exit;
}

/// Each as if it were checked alone, under its name.
Exit check_all(const Arguments& arguments, const Streams& streams) {
  std::vector<JobAnswer> jobs;
  for (const std::string& job : arguments.operands) {
    JobAnswer one{job, {}, {}};
    one.outcome = check_job({job}, "", one.messages);
    streams.line(job + ":");
    tell(one.messages, arguments, streams);
    if (wants_table(arguments)) put_messages(one.messages, one.outcome.table);
    if (one.messages.has_problems()) {
      tell_refused(one.messages, streams, kNotDone);
    } else {
      if (!wants_table(arguments) && !arguments.quiet)
        streams.text(fmt::format("{}{}:\n\n{}", jobs.empty() ? "" : "\n", job, one.outcome.text));
      tell_standing(one.outcome, arguments, streams);
    }
    jobs.push_back(std::move(one));
  }
  MainTable table;
  if (arguments.csv) put_messages(jobs, table);
  if (arguments.csv) streams.table(table.csv);
  if (arguments.json) streams.table(answers_json(jobs));
  streams.line(fmt::format("{} of {} jobs ready to lay out", ready_jobs(jobs), jobs.size()));
  return worst_of(jobs);
}

Exit run(const Arguments& arguments, const Streams& streams) {
  if (arguments.operands.size() < 2) return check_one(arguments, streams);
  if (arguments.out.empty()) return check_all(arguments, streams);
  streams.line("deckmark: check: --out is the folder of one job; check it alone");
  return Exit::bad_input;
}

}  // namespace

const CommandSpec kCheckCommand{
    "check",
    CommandGroup::every_job,
    kOperand,
    "read everything, report every problem and doubt; write nothing",
    "Reads the job and every table it names, computes every stage, and reports each problem (stops a run), "
    "doubt (worth a look) and notice. Nothing is written. Several jobs, such as the storeys of a building, "
    "are checked one after another; the last line says how many are ready.",
    kExamples,
    "0 fine (doubts do not change this), 1 a tie, the squareness or a deck mark is outside, 2 problems, 3 "
    "the system failed; of several jobs the worst.",
    kOptions,
    run};

}  // namespace deckmark
