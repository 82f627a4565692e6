#include "command.h"

#include "work/run.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"out", "DIR", "not used: nothing is written"},
    {"csv", "", "the stated coordinates as CSV (the columns of baseline.csv)"},
};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobOutcome outcome = verify_baselines({arguments.positional.empty() ? "." : arguments.positional, arguments.csv}, messages);
  tell(messages, arguments, streams);
  if (messages.has_problems()) return refuse(messages, streams, "the baselines cannot be judged");
  if (arguments.csv) print(streams, outcome.csv);
  else if (!arguments.quiet) print(streams, outcome.text);
  streams.err << outcome.line << '\n';
  return outcome.exit;
}

}  // namespace

const CommandSpec kBaselineCommand{
    "baseline", "[JOB]", "verify the baselines against the ties found on site",
    "Fits the drawing's two baselines to the ties (points found on site whose drawing\n"
    "X or Y is known) and judges every stated coordinate against its tolerance\n"
    "(5 mm unless the job or the tie says otherwise; sd 1.5 mm). Nothing is written.\n\n"
    "example: deckmark baseline alder-court\n\n"
    "exit status: 0 within, 1 a tie, the squareness or a deck mark is\n"
    "outside, 2 problems, 3 the system failed.",
    kOptions, run};

}  // namespace deckmark
