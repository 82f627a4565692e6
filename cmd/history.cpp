#include "command.h"
#include "work/issues.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"csv", "", "the steps as CSV", &Arguments::csv},
    kJsonOption,
};
constexpr std::string_view kExamples[] = {"deckmark history gallery-m 7"};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobOutcome outcome =
      tell_history({arguments.operands[0], wants_table(arguments)}, arguments.operands[1], messages);
  return answer(outcome, messages, arguments, streams, "nothing is shown");
}

}  // namespace

const CommandSpec kHistoryCommand{
    "history",
    CommandGroup::afterwards,
    {"JOB NUMBER", 2, 2, "JOB or NUMBER"},
    "one number: drawing, issues, who has it, marks, shots, sights",
    "NUMBER is a floor number, a deck number or a name, also one that was dropped. Told are its row of the "
    "drawing as it stands, what every issue handed out for it and how that differs from before, who was "
    "given "
    "which of these, and what was measured of it: deck marks, as-built shots, sights of setups.",
    kExamples,
    "0 done, 2 a number that the ledger has not, or problems; 3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
