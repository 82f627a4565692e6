#include "command.h"
#include "table/written.h"
#include "work/run.h"

namespace deckmark {

namespace {

std::string messages_csv(const Messages& messages) {
  std::vector<Message> all;
  for (const Grade grade : {Grade::problem, Grade::doubt, Grade::notice})
    for (Message& m : messages.sorted(grade)) all.push_back(std::move(m));
  std::string csv;
  written_table(TableStyle{}, {"file", "line", "column", "grade", "field", "text"}, all.size(),
                [&all](auto& sink, std::size_t i) {
                  sink.text(all[i].file);
                  for (const std::uint32_t n : {all[i].place.line, all[i].place.column}) {
                    if (n)
                      sink.integer(n);
                    else
                      sink.empty();
                  }
                  sink.text(grade_word(all[i].grade));
                  sink.text(all[i].field);
                  sink.text(all[i].text);
                })
      ->write([&csv](const char* data, std::size_t size) { csv.append(data, size); });
  return csv;
}

constexpr OptionSpec kOptions[] = {
    {"out", "DIR", "folder that a run would write (default: out beside the job)", &Arguments::out},
    {"csv", "", "as CSV: file, line, column, grade, field, text", &Arguments::csv},
};
constexpr std::string_view kExamples[] = {"deckmark check atrium-ft-in"};

Exit run(const Arguments& arguments, const Streams& streams) {
  Messages messages;
  const JobOutcome outcome = check_job({job_of(arguments), arguments.csv}, arguments.out, messages);
  tell(messages, arguments, streams);
  if (arguments.csv) streams.table(messages_csv(messages));
  if (messages.has_problems()) return refuse(messages, streams, "the job cannot be run");
  if (!arguments.csv && !arguments.quiet) streams.text(outcome.text);
  streams.line(outcome.line);
  return outcome.exit;
}

}  // namespace

const CommandSpec kCheckCommand{
    "check",
    CommandGroup::every_job,
    kJobOperand,
    "read everything, report every problem and doubt; write nothing",
    "Reads the job and every table it names, computes every stage, and reports each problem (stops a run), "
    "doubt (worth a look) and notice. Nothing is written.",
    kExamples,
    "0 fine (doubts do not change this), 1 a tie, the squareness or a deck mark is outside, 2 problems, 3 "
    "the "
    "system failed.",
    kOptions,
    run};

}  // namespace deckmark
