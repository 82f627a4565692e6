#include "command.h"
#include "work/run.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"csv", "", "the heights as CSV (the columns of heights.csv)", &Arguments::csv},
    kJsonOption,
};
constexpr std::string_view kExamples[] = {"deckmark heights lounge-ft-in"};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobOutcome outcome = show_heights({job_of(arguments), wants_table(arguments)}, messages);
  return answer(outcome, messages, arguments, streams, "no heights were computed");
}

}  // namespace

const CommandSpec kHeightsCommand{
    "heights",
    CommandGroup::tape,
    kJobOperand,
    "heights by level and laser: what closes, and the datum line",
    "Takes what [heights] names: benchmarks, staffs read by a level, targets read from a laser's plane. All "
    "readings are adjusted together; no sum is done by hand. Prints what every line and every laser closes "
    "to "
    "against its limit, what would explain a closure, where the datum line lies from each laser's plane, and "
    "the height of every target. Soffits are the deck of their points, brackets are held against their "
    "design. "
    "Nothing is written.",
    kExamples,
    "0 within, 1 a line, a laser, a bracket (or anything else that the job checks) is outside, 2 problems, 3 "
    "the system failed.",
    kOptions,
    run};

}  // namespace deckmark
