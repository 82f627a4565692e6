#include "command.h"
#include "work/run.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"csv", "", "the setups as CSV (the columns of setup.csv)", &Arguments::csv},
    kJsonOption,
    kFiguresOption,
    {"shots", "", "the side shots of all setups as CSV (as shots-NAME.csv)", &Arguments::shots},
};
constexpr std::string_view kExamples[] = {
    "deckmark setup arcade-m",
    "deckmark setup arcade-m --shots > ties-shot.csv",
};

Exit run(const Arguments& typed, const Streams& streams) {
  Arguments arguments = typed;
  arguments.csv = typed.csv || (typed.shots && !typed.json);
  Messages messages;
  const JobRequest request{.job = job_of(arguments),
                           .with_rows = wants_table(arguments),
                           .shots = arguments.shots,
                           .details = arguments.details};
  const JobOutcome outcome = verify_setups(request, messages);
  return answer(outcome, messages, arguments, streams, "the setups cannot be judged");
}

}  // namespace

const CommandSpec kSetupCommand{
    "setup",
    CommandGroup::instrument,
    kJobOperand,
    "where the instrument stands, how well, what its sights say",
    "Reduces the readings of every [[setup]] (two faces, rounds, air, reflector, curvature), finds place, "
    "orientation and elevation, says how good they are (95 %, in mm or inches), names a wrong sight, and "
    "turns "
    "side shots into coordinates. angle_sd and distance_sd have no default; the tolerance in plan is 6 mm "
    "unless [asbuilt] says otherwise. A job without ties, or without a drawing, will do: side shots to "
    "building points become its ties. Nothing is written. Send --shots to a new file: the shell empties "
    "the file that it is sent to before the job is read.",
    kExamples,
    "0 within (or nothing checks it), 1 a sight, or anything else that the job checks, is outside, 2 "
    "problems, "
    "3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
