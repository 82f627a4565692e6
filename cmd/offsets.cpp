#include "command.h"
#include "work/run.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"csv", "", "as CSV (the columns of offsets.csv)", &Arguments::csv},
    kJsonOption,
    {"crew", "NAME", "the marks of that crew (default: all marks)", &Arguments::crew},
};
constexpr std::string_view kExamples[] = {"deckmark offsets lounge-ft-in",
                                          "deckmark offsets workshop-ft-in --csv"};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  JobRequest request{job_of(arguments), wants_table(arguments)};
  request.crew = arguments.crew;
  const JobOutcome outcome = show_offsets(request, messages);
  return answer(outcome, messages, arguments, streams, "there is no offset sheet");
}

}  // namespace

const CommandSpec kOffsetsCommand{
    "offsets",
    CommandGroup::tape,
    kJobOperand,
    "the offset sheet for laser and tape, on the screen",
    "Every mark run by run: along its run from zero, square from the two strings where [offsets] names their "
    "marks, else X and Y from the baselines, the drop, swing ties where it names two marks. With strings it "
    "says which corner mark to move first. Lengths are in the unit of [offsets] (default: that of the "
    "drawing). Nothing is written; run writes the sheet for the printer.",
    kExamples,
    "0 within, 1 something that the job checks is outside: do not lay out, 2 problems, 3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
