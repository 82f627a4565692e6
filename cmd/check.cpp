#include "command.h"
#include "work/answer_json.h"
#include "work/run.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"out", "DIR", "folder that a run would write (default: out beside the job)", &Arguments::out},
    {"csv", "", "as CSV: file, line, column, grade, field, text", &Arguments::csv},
    kJsonOption,
};
constexpr std::string_view kExamples[] = {"deckmark check atrium-ft-in"};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  JobOutcome outcome = check_job({job_of(arguments)}, arguments.out, messages);
  tell(messages, arguments, streams);
  if (wants_table(arguments)) put_messages(messages, outcome.table);
  if (arguments.csv) streams.table(outcome.table.csv);
  if (messages.has_problems()) return refuse(messages, arguments, streams, "the job cannot be run");
  if (!arguments.csv) show(outcome, messages, arguments, streams);
  tell_standing(outcome, arguments, streams);
  return outcome.exit;
}

}  // namespace

const CommandSpec kCheckCommand{
    "check",
    CommandGroup::every_job,
    kJobOperand,
    "read everything, report every problem and doubt; write nothing",
    "Reads the job and every table it names, computes every stage, and reports each problem (stops a run), "
    "doubt (worth a look) and notice. Nothing is written.",
    kExamples,
    "0 fine (doubts do not change this), 1 a tie, the squareness or a deck mark is outside, 2 problems, 3 "
    "the "
    "system failed.",
    kOptions,
    run};

}  // namespace deckmark
