#include "work/today.h"

#include "command.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"as-issued", "N", "in place of a book: all of issue N is taken to be marked", &Arguments::as_issued},
    {"done", "LIST", "with --as-issued: these numbers alone, as 1041-1052 1060 but 1047", &Arguments::done},
    {"out", "DIR", "today.csv, and lists to void, mark and fill; a folder of its own", &Arguments::out},
    {"csv", "", "today.csv on standard output", &Arguments::csv},
    kJsonOption,
};
constexpr std::string_view kExamples[] = {"deckmark today gallery-m --as-issued 1"};

Exit run(const Arguments& arguments, const Streams& streams) {
  if (!arguments.done.empty() && arguments.as_issued.empty()) {
    streams.line("deckmark: today: --done LIST needs --as-issued N; with a book the book says what is done");
    return Exit::bad_input;
  }
  Messages messages;
  const JobOutcome outcome = needs_today({job_of(arguments), wants_table(arguments)},
                                         {arguments.as_issued, arguments.done, arguments.out}, messages);
  return answer(outcome, messages, arguments, streams,
                arguments.out.empty() ? "nothing is shown" : "nothing was written");
}

}  // namespace

const CommandSpec kTodayCommand{
    "today",
    CommandGroup::every_job,
    kJobOperand,
    "what every mark, hole and rod needs today",
    "Holds what stands, by the books of the job, against the last issue: what stays, what is to be marked "
    "again, voided, filled or measured, what gets another number, what may be drilled. Run by run, in "
    "walking "
    "order, the most urgent first. With --out lists for an instrument lead to old places under numbers that "
    "no "
    "mark has: 1043X.",
    kExamples,
    "0 nothing stands wrong, 1 something is to be marked again, voided, renumbered, filled, cut anew or "
    "stopped, 2 problems and nothing written, 3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
