#include "command.h"
#include "work/run.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"out", "DIR", "not used: nothing is written"},
    {"csv", "", "the setups as CSV (the columns of setup.csv)"},
    {"shots", "", "the side shots of all setups as CSV (as shots-NAME.csv)"},
};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobRequest request{.job = job_of(arguments), .csv = arguments.csv, .shots = arguments.shots};
  const JobOutcome outcome = verify_setups(request, messages);
  return answer(outcome, messages, arguments, streams, "the setups cannot be judged");
}

}  // namespace

const CommandSpec kSetupCommand{
    "setup",
    "[JOB]",
    "where the instrument stands, how well, what its sights say",
    "Reduces the readings of every [[setup]] (two faces, rounds, air, reflector,\n"
    "curvature), finds place, orientation and elevation, says how good they are\n"
    "(95 %, in mm or inches), names a wrong sight, and turns side shots into\n"
    "coordinates. angle_sd and distance_sd have no default; the tolerance in plan is\n"
    "6 mm unless [asbuilt] says otherwise. A job without ties, or without a drawing,\n"
    "will do: side shots to building points become its ties. Nothing is written.\n\n"
    "example: deckmark setup alder-court\n"
    "example: deckmark setup alder-court --shots > ties-shot.csv\n\n"
    "exit status: 0 within (or nothing checks it), 1 a sight, or anything else that\n"
    "the job checks, is outside, 2 problems, 3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
