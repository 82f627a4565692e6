#include "command.h"
#include "work/run.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"csv", "", "the control as CSV (the columns of ground.csv)", &Arguments::csv},
    kJsonOption,
};
constexpr std::string_view kExamples[] = {"deckmark ground concourse-us-ft"};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobOutcome outcome = show_ground({job_of(arguments), wants_table(arguments)}, messages);
  return answer(outcome, messages, arguments, streams, "nothing was brought to ground scale");
}

}  // namespace

const CommandSpec kGroundCommand{
    "ground",
    CommandGroup::rarely,
    kJobOperand,
    "bring control in a map projection to ground scale",
    "For a job whose [site] states crs: the projection's scale, the elevation factor and their product at "
    "every "
    "control point, its coordinates in the grid and at ground scale (degrees; lengths in the list unit), and "
    "what ignoring the factor would do to the farthest hanger. ground_at defaults to the first control "
    "point. "
    "Nothing is written.",
    kExamples,
    "0 within, 1 a tie, the squareness or a deck mark is outside, 2 problems, 3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
