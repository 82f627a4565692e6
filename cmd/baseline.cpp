#include "command.h"
#include "work/run.h"
#include "work/sign.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"sign", "FILE", "freeze this fit under a signature; needs --by and --on", &Arguments::sign},
    {"by", "TEXT", "who signs", &Arguments::by},
    {"on", "DATE", "when, as 2026-11-25 (no clock is read)", &Arguments::on},
    {"accept-outside", "REASON", "sign a job that is not READY, and why", &Arguments::accept_outside},
    {"again", "", "with --sign: the signed fit that the job uses, unchanged, for its new revision",
     &Arguments::again},
    {"out", "DIR", "with --sign: the folder that runs write, where the signed file may not lie",
     &Arguments::out},
    {"csv", "", "the stated coordinates as CSV (the columns of baseline.csv)", &Arguments::csv},
    kJsonOption,
    kFiguresOption,
};
constexpr std::string_view kExamples[] = {
    "deckmark baseline gallery-m",
    "deckmark baseline gallery-m --sign C.toml --by Name --on 2026-11-25",
};

Exit sign(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  bool refused = false;
  const JobRequest request{job_of(arguments), wants_table(arguments)};
  const JobOutcome outcome = sign_baselines(
      request,
      {arguments.sign, arguments.by, arguments.on, arguments.accept_outside, arguments.again, arguments.out},
      program_name(), messages, refused);
  tell(messages, arguments, streams);
  if (messages.has_problems()) return refuse(messages, arguments, streams, "nothing was signed");
  if (refused)
    streams.line("not signed: something is outside; --accept-outside REASON signs all the same");
  else if (!arguments.quiet)
    streams.text(outcome.text);
  tell_standing(outcome, arguments, streams);
  return outcome.exit;
}

Exit run(const Arguments& arguments, const Streams& streams) {
  if (!arguments.sign.empty() && arguments.json) {
    streams.line("deckmark: baseline: --json tells what was found, and --sign writes: one of the two");
    return Exit::bad_input;
  }
  if (!arguments.sign.empty()) return sign(arguments, streams);
  if (!arguments.by.empty() || !arguments.on.empty() || !arguments.accept_outside.empty() ||
      arguments.again) {
    streams.line("deckmark: baseline: --by, --on, --accept-outside and --again go with --sign FILE");
    return Exit::bad_input;
  }
  if (!arguments.out.empty()) tell_unused_out("baseline writes nothing without --sign", arguments, streams);
  Messages messages;
  const JobOutcome outcome = verify_baselines(
      {.job = job_of(arguments), .with_rows = wants_table(arguments), .details = arguments.details},
      messages);
  return answer(outcome, messages, arguments, streams, "the baselines cannot be judged");
}

}  // namespace

const CommandSpec kBaselineCommand{
    "baseline",
    CommandGroup::every_job,
    kJobOperand,
    "verify the baselines against the ties found on site",
    "One page that can be signed: fits the drawing's two baselines to the ties (points found on site whose "
    "drawing X or Y is known) and judges every stated coordinate (tolerance 5 mm unless the job or the tie "
    "says otherwise; sd 1.5 mm), the squareness, taped lengths and printed dimensions. Nothing is written "
    "but "
    "the file of --sign; [baselines] signed of the job then uses that fit unchanged. It belongs to the file "
    "that "
    "names the ties, job or site file, and is refused in another; --again signs it for a new revision.",
    kExamples,
    "0 within, 1 a tie, the squareness, a length, a dimension or a deck mark is outside, 2 problems, 3 the "
    "system failed. What is outside or not checked is not signed without --accept-outside.",
    kOptions,
    run};

}  // namespace deckmark
