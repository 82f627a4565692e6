#include "command.h"
#include "work/run.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"csv", "", "as CSV (the columns of plan-NAME.csv); of the first setup", &Arguments::csv},
    kJsonOption,
    {"setup", "NAME", "one setup (default: all with a plan)", &Arguments::setup},
};
constexpr std::string_view kExamples[] = {"deckmark plan arcade-m"};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobRequest request{job_of(arguments), wants_table(arguments), arguments.setup};
  const JobOutcome outcome = predict_plans(request, messages);
  return answer(outcome, messages, arguments, streams, "nothing can be predicted");
}

}  // namespace

const CommandSpec kPlanCommand{
    "plan",
    CommandGroup::instrument,
    kJobOperand,
    "before going out: how good every mark would be from a spot",
    "For every [[setup]] with a place and plan = [\"CP1\", \"CP2\"]: what sights to these control points "
    "(two "
    "faces, distances, rounds = 1 by default) would make of the place, and which marks would come out beyond "
    "the tolerance in plan (6 mm unless [asbuilt] says otherwise; 95 %). Nothing is written and nothing is "
    "judged.",
    kExamples,
    "0 predicted, 2 problems, 3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
