#include "command.h"
#include "work/field_test.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"sd", "SD", "hold the scatter against this sd: '2\"' of an angle, 1.5mm", &Arguments::sd},
    {"with", "TABLE", "a second table of the same test: do both scatter alike?", &Arguments::with},
    {"csv", "", "values and questions as CSV", &Arguments::csv},
    kJsonOption,
};
constexpr std::string_view kExamples[] = {"deckmark fieldtest arcade-m/directions.csv --sd '2\"'"};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobOutcome outcome = judge_field_test(
      {arguments.operands[0], arguments.with, arguments.sd, wants_table(arguments)}, messages);
  return answer(outcome, messages, arguments, streams, "nothing was judged");
}

}  // namespace

const CommandSpec kFieldtestCommand{
    "fieldtest",
    CommandGroup::instrument,
    {"TABLE", 1, 1, "a table of readings"},
    "is the instrument sound? checks that take twenty minutes",
    "Judges a table of readings by its columns; units stand in the header, and a row that was not read is "
    "left "
    "out. series (default 1) may be added to every table.\n"
    "\n"
    "directions\tset, target, circle1 (degrees), circle2 (degrees): faces 1, 2\n"
    "zenith angles\tset, target, zenith1 (degrees), zenith2 (degrees)\n"
    "distances\tfrom, to, distance (m): points of one line, numbered along it\n"
    "level\tsetup, staff, reading (mm), distance (m): two staffs, read from two set-ups, near and far "
    "(two-peg "
    "test)\n"
    "rotating laser\tset, target, reading (mm), distance (m), direction (degrees) of the staff from a mark "
    "on "
    "the housing; height (mm) if known\n"
    "plumbing\tx1 (mm), x2 (mm), y1 (mm), y2 (mm): positions half a turn apart along x, then along y; height "
    "(m) of the grid if known\n"
    "plumbing, turned\tset, turn (degrees), x (mm), y (mm): one turn, two or four\n"
    "cross-line laser\tab (m), cd (m), ac (m): two marks A, B; lines crossing over A, the first through B, C "
    "marked on the second; then over B, the second through A, D marked on the first, as far from B as C from "
    "A "
    "(ac, to a centimetre; as far as the room lets); AB and CD taped. The same two beams enclose both "
    "corners\n"
    "\n"
    "Directions and zenith angles may share one table. Questions are asked at 95 %. Nothing is written. The "
    "answers say nothing about conformity with a standard.",
    kExamples,
    "0 done, 1 the scatter is worse than the stated sd, 2 problems, 3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
