#include "command.h"
#include "work/issues.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"to", "NAME", "who is given it: a crew, a firm", &Arguments::to},
    {"on", "DATE", "when, as 2026-11-25 (no clock is read)", &Arguments::on},
    {"issue", "N", "which issue (default: the last)", &Arguments::issue},
};
constexpr std::string_view kExamples[] = {"deckmark give gallery-m --to north --on 2026-11-25"};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobOutcome outcome =
      give_issue({job_of(arguments)}, {arguments.to, arguments.on, arguments.issue}, messages);
  return answer(outcome, messages, arguments, streams, "nothing was given");
}

}  // namespace

const CommandSpec kGiveCommand{"give",
                               CommandGroup::every_job,
                               kJobOperand,
                               "note who was given an issue of the lists, and when",
                               "Adds one row to given.csv beside the ledger of numbers. Later runs then tell "
                               "what changed since the last "
                               "issue that somebody has, `deckmark issued` tells who has which, and a list "
                               "that is read back can be told "
                               "to be an old one. Note it on the day on which the lists leave the office.",
                               kExamples,
                               "0 noted, or noted before; 2 problems and nothing noted, 3 the system failed.",
                               kOptions,
                               run};

}  // namespace deckmark
