#include "command.h"
#include "work/run.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"csv", "", "the shots as CSV (the columns of asbuilt.csv)", &Arguments::csv},
    kJsonOption,
};
constexpr std::string_view kExamples[] = {"deckmark asbuilt hall-m"};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobOutcome outcome = judge_asbuilt({job_of(arguments), wants_table(arguments)}, messages);
  return answer(outcome, messages, arguments, streams, "the shots cannot be judged");
}

}  // namespace

const CommandSpec kAsbuiltCommand{
    "asbuilt",
    CommandGroup::afterwards,
    kJobOperand,
    "as-built shots against the design, and the likely cause",
    "Matches the shots with the drawing's points by name or number (or by nearness), judges each in plan (6 "
    "mm "
    "unless the job says otherwise) and brackets in elevation (3 mm), with the chance that it conforms (sd 2 "
    "mm "
    "unless stated), and names the causes that many marks have in common. Nothing is written, nothing "
    "corrected.",
    kExamples,
    "0 within, 1 a shot (or anything else that the job checks) is outside, or unsure under guarded "
    "acceptance, "
    "2 problems, 3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
