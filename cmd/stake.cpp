#include "command.h"
#include "work/run.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"out", "DIR", "not used: nothing is written"},
    {"csv", "", "as CSV (the columns of stake-NAME.csv); of the first setup"},
    {"setup", "NAME", "one setup (default: all)"},
};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobRequest request{job_of(arguments), arguments.csv, arguments.setup};
  const JobOutcome outcome = list_stakes(request, messages);
  return answer(outcome, messages, arguments, streams, "nothing can be staked out");
}

}  // namespace

const CommandSpec kStakeCommand{
    "stake",
    "[JOB]",
    "what to turn and measure for every mark, from where you stand",
    "For every setup: circle, horizontal distance and height from the axis of each\n"
    "floor mark and deck point, run by run, how good it will be (95 %, mm or inches),\n"
    "with control to check first and last. Targets stand on the mark (default height\n"
    "0) unless [stake] says otherwise. Nothing is written.\n\n"
    "example: deckmark stake alder-court --setup S1\n\n"
    "exit status: 0 within, 1 a sight, or anything else that the job checks, is\n"
    "outside: do not lay out, 2 problems, 3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
