#include "command.h"
#include "work/run.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"out", "DIR", "not used: nothing is written"},
    {"csv", "", "the shots as CSV (the columns of asbuilt.csv)"},
};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobOutcome outcome = judge_asbuilt({job_of(arguments), arguments.csv}, messages);
  return answer(outcome, messages, arguments, streams, "the shots cannot be judged");
}

}  // namespace

const CommandSpec kAsbuiltCommand{
    "asbuilt",
    "[JOB]",
    "as-built shots against the design, and the likely cause",
    "Matches the shots with the drawing's points by name or number (or by nearness),\n"
    "judges each in plan (6 mm unless the job says otherwise) and brackets in\n"
    "elevation (3 mm), with the chance that it conforms (sd 2 mm unless stated), and\n"
    "names the causes that many marks have in common. Nothing is written, nothing\n"
    "corrected.\n\n"
    "example: deckmark asbuilt alder-court\n\n"
    "exit status: 0 within, 1 a shot (or anything else that the job checks) is\n"
    "outside, or unsure under guarded acceptance, 2 problems, 3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
