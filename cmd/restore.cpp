#include "work/restore.h"

#include "command.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"from", "DIR", "an output folder, its kept/, or the folder of the books' copy", &Arguments::from},
};
constexpr std::string_view kExamples[] = {"deckmark restore gallery-m --from gallery-m/out"};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobOutcome outcome = restore_job({job_of(arguments)}, arguments.from, messages);
  return answer(outcome, messages, arguments, streams, "nothing was taken back");
}

}  // namespace

const CommandSpec kRestoreCommand{
    "restore",
    CommandGroup::rarely,
    kJobOperand,
    "take back the ledger and the books that a run kept",
    "Every run keeps the ledger of numbers, the issues, who has them and every book in kept/ of its output "
    "folder. Where one of them is lost here, behind or damaged, this takes it back, the ledger with its "
    "issues together, each book by itself, and says in a line each what came back. What was added here since "
    "stays. What stands here and holds nowhere goes to the .torn file beside it.\n"
    "No row is given up: where the two were gone on with apart, nothing is taken back, and a command to type "
    "says how to put aside what stands here.",
    kExamples,
    "0 taken back, or there was nothing to take back; 2 problems and nothing changed, 3 the system failed.",
    kOptions,
    run};

}  // namespace deckmark
