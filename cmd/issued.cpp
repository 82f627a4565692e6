#include "command.h"
#include "work/issues.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"list", "N", "write the lists of issue N again; needs --out", &Arguments::list},
    {"out", "DIR", "with --list: a folder that is new or holds these lists alone", &Arguments::out},
    {"csv", "", "the issues as CSV", &Arguments::csv},
    kJsonOption,
};
constexpr std::string_view kExamples[] = {
    "deckmark issued gallery-m",
    "deckmark issued gallery-m --list 1 --out again",
};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobRequest request{job_of(arguments), wants_table(arguments)};
  if (arguments.list.empty()) {
    if (!arguments.out.empty()) tell_unused_out("issued writes nothing without --list", arguments, streams);
    return answer(list_issues(request, messages), messages, arguments, streams, "nothing is shown");
  }
  if (arguments.out.empty() || arguments.csv || arguments.json) {
    streams.line(arguments.out.empty() ? "deckmark: issued: --list N needs --out DIR"
                                       : "deckmark: issued: --csv and --json show the issues, and --list "
                                         "writes: one of the two");
    return Exit::bad_input;
  }
  const JobOutcome outcome = write_issue_lists(request, arguments.list, arguments.out, messages);
  return answer(outcome, messages, arguments, streams, "nothing was written");
}

}  // namespace

const CommandSpec kIssuedCommand{
    "issued",
    CommandGroup::every_job,
    kJobOperand,
    "the issues that were handed out, and who has them",
    "Every run that hands out something new is an issue: numbers, places, heights and cuts as they were then "
    "stay in the ledger. --list writes the floor and deck lists of one of them again, from the ledger alone, "
    "in the layout that [list] states now.",
    kExamples,
    "0 done, 2 problems and nothing written, 3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
