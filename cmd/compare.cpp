#include "command.h"
#include "work/issues.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"csv", "", "the rows that differ as CSV", &Arguments::csv},
    kJsonOption,
};
constexpr std::string_view kExamples[] = {"deckmark compare gallery-m gallery-m/out/floor-list.csv"};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobOutcome outcome =
      compare_with_issues({arguments.operands[0], wants_table(arguments)}, arguments.operands[1], messages);
  return answer(outcome, messages, arguments, streams, "nothing was compared");
}

}  // namespace

const CommandSpec kCompareCommand{
    "compare",
    CommandGroup::instrument,
    {"JOB FILE", 2, 2, "JOB or FILE"},
    "which issue is the list that an instrument holds?",
    "Read the list back from the instrument and compare it: told is which issue and which list it is, who "
    "was "
    "given that, and how many of its numbers have changed since. Where it is none, the nearest is named, "
    "then "
    "every row that differs, with the slip that explains it: a digit, two rows exchanged, rows gone or too "
    "many, northing and easting exchanged, another unit, an elevation alone.\n"
    "\n"
    "The file may have a header line, any separator and a decimal comma; without a header its columns are "
    "those of [list]. A value agrees within half its own last digit. Rows without a number are control.",
    kExamples,
    "0 a list of the last issue, 1 an older one or none, 2 what cannot be read, 3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
