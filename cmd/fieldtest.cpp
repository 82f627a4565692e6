#include "command.h"
#include "work/field_test.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"sd", "SD", "hold the scatter against this sd: '2\"' of an angle, 1.5mm"},
    {"with", "TABLE", "a second table of the same test: do both scatter alike?"},
    {"csv", "", "values and questions as CSV"},
};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  if (arguments.positional.empty()) {
    streams.line("deckmark: fieldtest: a table of readings is expected; see deckmark fieldtest --help");
    return Exit::bad_input;
  }
  const JobOutcome outcome =
      judge_field_test({arguments.positional, arguments.with, arguments.sd, arguments.csv}, messages);
  return answer(outcome, messages, arguments, streams, "nothing was judged");
}

}  // namespace

const CommandSpec kFieldtestCommand{
    "fieldtest",
    "TABLE",
    "is the instrument sound? checks that take twenty minutes",
    "Judges a table of readings by its columns; units stand in the header, and a row\n"
    "that was not read is left out. series (default 1) may be added to every table.\n\n"
    "  directions       set, target, circle1 (degrees), circle2 (degrees): faces 1, 2\n"
    "  zenith angles    set, target, zenith1 (degrees), zenith2 (degrees)\n"
    "  distances        from, to, distance (m): points of one line, numbered along it\n"
    "  level            setup, staff, reading (mm), distance (m): two staffs, read\n"
    "                   from two set-ups, near and far (two-peg test)\n"
    "  rotating laser   set, target, reading (mm), distance (m), direction (degrees)\n"
    "                   of the staff from a mark on the housing; height (mm) if known\n"
    "  plumbing         x1 (mm), x2 (mm), y1 (mm), y2 (mm): positions half a turn\n"
    "                   apart along x, then along y; height (m) of the grid if known\n"
    "  plumbing, turned set, turn (degrees), x (mm), y (mm): one turn, two or four\n\n"
    "Directions and zenith angles may share one table. Questions are asked at 95 %.\n"
    "Nothing is written. The answers say nothing about conformity with a standard.\n\n"
    "example: deckmark fieldtest directions.csv --sd '2\"'\n\n"
    "exit status: 0 done, 1 the scatter is worse than the stated sd, 2 problems,\n"
    "3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
