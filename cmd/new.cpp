#include <fmt/format.h>

#include "command.h"
#include "work/starter.h"

namespace deckmark {

namespace {

constexpr std::string_view kUnitWords[] = {"ft-in", "m"};
constexpr OptionSpec kOptions[] = {
    {"units", "UNITS", "ft-in or m (default ft-in): how the drawing is keyed", kUnitWords}};

Exit run(const Arguments& arguments, const Streams& streams) {
  if (arguments.positional.empty()) {
    streams.line("deckmark: new: the folder to make is missing; try deckmark new my-job");
    return Exit::bad_input;
  }
  const auto units = starter_units(arguments.units);
  if (!units) {
    streams.line(fmt::format("deckmark: new: --units {}: expected ft-in or m", in_quotes(arguments.units)));
    return Exit::bad_input;
  }
  if (const auto why = make_starter(arguments.positional, *units)) {
    streams.line(fmt::format("deckmark: new: {}", *why));
    return Exit::bad_input;
  }
  if (!arguments.quiet)
    streams.text(fmt::format("made a starter job in {0}\nread {0}/job.toml, then: deckmark run {0}\n",
                             visible(arguments.positional)));
  return Exit::done;
}

}  // namespace

const CommandSpec kNewCommand{
    "new",
    "FOLDER",
    "a commented starter job that runs as it is",
    "Writes a small job with every key explained: drawing points, control, ties, deck\n"
    "and deck marks. The folder is made; one that is not empty is refused.\n\n"
    "example: deckmark new my-job --units m\n\n"
    "exit status: 0 done, 2 the folder is not empty or the call is wrong, 3 the\n"
    "system failed.",
    kOptions,
    run};

}  // namespace deckmark
