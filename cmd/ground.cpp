#include "command.h"
#include "work/run.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"out", "DIR", "not used: nothing is written"},
    {"csv", "", "the control as CSV (the columns of ground.csv)"},
};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobOutcome outcome = show_ground({job_of(arguments), arguments.csv}, messages);
  return answer(outcome, messages, arguments, streams, "nothing was brought to ground scale");
}

}  // namespace

const CommandSpec kGroundCommand{
    "ground",
    "[JOB]",
    "bring control in a map projection to ground scale",
    "For a job whose [site] states crs: the projection's scale, the elevation factor\n"
    "and their product at every control point, its coordinates in the grid and at\n"
    "ground scale (degrees; lengths in the list unit), and what ignoring the factor\n"
    "would do to the farthest hanger. ground_at defaults to the first control point.\n"
    "Nothing is written.\n\n"
    "example: deckmark ground alder-court\n\n"
    "exit status: 0 within, 1 a tie, the squareness or a deck mark is\n"
    "outside, 2 problems, 3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
