#include <fmt/format.h>

#include "command.h"
#include "work/starter.h"

namespace deckmark {

namespace {

constexpr std::string_view kUnitWords[] = {"ft-in", "m"};
constexpr OptionSpec kOptions[] = {
    {"units", "UNITS", "ft-in or m (default ft-in): how the drawing is keyed", &Arguments::units, kUnitWords},
};
constexpr std::string_view kExamples[] = {"deckmark new my-job --units m"};

Exit run(const Arguments& arguments, const Streams& streams) {
  const std::string& folder = arguments.operands[0];
  const auto units = starter_units(arguments.units);
  if (!units) {
    streams.line(fmt::format("deckmark: new: --units {}: expected ft-in or m", in_quotes(arguments.units)));
    return Exit::bad_input;
  }
  if (const auto why = make_starter(folder, *units)) {
    streams.line(fmt::format("deckmark: new: {}", *why));
    return Exit::bad_input;
  }
  if (!arguments.quiet)
    streams.text(fmt::format("made a starter job in {0}\nread {0}/job.toml, then: deckmark run {0}\n",
                             visible(folder)));
  return Exit::done;
}

}  // namespace

const CommandSpec kNewCommand{
    "new",
    CommandGroup::every_job,
    {"FOLDER", 1, 1, "the folder to make"},
    "a commented starter job that runs as it is",
    "Writes a small job with every key explained: drawing points, control, ties, deck and deck marks. The "
    "folder is made; one that is not empty is refused.",
    kExamples,
    "0 done, 2 the folder is not empty or the call is wrong, 3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
