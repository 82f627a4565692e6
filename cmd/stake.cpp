#include "command.h"
#include "work/run.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"csv", "", "as CSV (the columns of stake-NAME.csv); of the first setup", &Arguments::csv},
    kJsonOption,
    {"setup", "NAME", "one setup (default: all)", &Arguments::setup},
    {"crew", "NAME", "what that crew lays out, from its setups (default: all marks)", &Arguments::crew},
};
constexpr std::string_view kExamples[] = {"deckmark stake arcade-m --setup S1"};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  JobRequest request{job_of(arguments), wants_table(arguments), arguments.setup};
  request.crew = arguments.crew;
  const JobOutcome outcome = list_stakes(request, messages);
  return answer(outcome, messages, arguments, streams, "nothing can be staked out");
}

}  // namespace

const CommandSpec kStakeCommand{
    "stake",
    CommandGroup::instrument,
    kJobOperand,
    "what to turn and measure for every mark, from where you stand",
    "For every setup: circle, horizontal distance and height from the axis of each floor mark and deck "
    "point, "
    "run by run, how good it will be (95 %, mm or inches), with control to check first and last. Targets "
    "stand "
    "on the mark (default height 0) unless [stake] says otherwise. Nothing is written.",
    kExamples,
    "0 within, 1 a sight, or anything else that the job checks, is outside: do not lay out, 2 problems, 3 "
    "the "
    "system failed.",
    kOptions,
    run};

}  // namespace deckmark
