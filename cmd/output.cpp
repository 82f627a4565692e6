#include <fmt/format.h>

#include <cerrno>
#include <cstring>

#include "command.h"
#include "exporter/batch.h"
#include "work/run.h"

namespace deckmark {

namespace {

constexpr CommandSpec const* kCommands[] = {
    &kNewCommand,  &kCheckCommand,   &kBaselineCommand, &kSetupCommand,     &kStakeCommand,
    &kPlanCommand, &kAsbuiltCommand, &kGroundCommand,   &kFieldtestCommand, &kRunCommand};

std::string colored(std::string_view text, Grade grade, bool color) {
  if (!color) return std::string(text);
  const int code = grade == Grade::problem ? 31 : grade == Grade::doubt ? 33 : 36;
  return fmt::format("\x1b[{}m{}\x1b[0m", code, text);
}

}  // namespace

std::span<const CommandSpec> commands() {
  static const std::vector<CommandSpec> all = [] {
    std::vector<CommandSpec> list;
    for (const CommandSpec* c : kCommands) list.push_back(*c);
    return list;
  }();
  return all;
}

std::string_view program_name() { return "deckmark " DECKMARK_VERSION; }

void tell(const Messages& messages, const Arguments& arguments, const Streams& streams) {
  for (const Grade grade : {Grade::problem, Grade::doubt, Grade::notice}) {
    if (grade == Grade::notice && arguments.quiet) continue;
    for (const Message& m : messages.sorted(grade)) {
      const std::string label = grade == Grade::problem ? "" : fmt::format("{}: ", grade_word(grade));
      streams.err << colored(label + message_line(m), grade, arguments.color) << '\n';
    }
  }
}

Exit refuse(const Messages& messages, const Streams& streams, std::string_view what_was_not_done) {
  streams.err << fmt::format("{} problem{}; {}\n", messages.problems(), messages.problems() == 1 ? "" : "s",
                             what_was_not_done);
  return Exit::bad_input;
}

Exit answer(const JobOutcome& outcome, const Messages& messages, const Arguments& arguments,
            const Streams& streams, std::string_view what_was_not_done) {
  tell(messages, arguments, streams);
  if (messages.has_problems()) return refuse(messages, streams, what_was_not_done);
  if (arguments.csv)
    print(streams, outcome.csv);
  else if (!arguments.quiet)
    print(streams, outcome.text);
  if (!outcome.line.empty()) streams.err << outcome.line << '\n';
  return outcome.exit;
}

std::string job_of(const Arguments& arguments) {
  return arguments.positional.empty() ? "." : arguments.positional;
}

void print(const Streams& streams, std::string_view text) {
  errno = 0;
  streams.out.write(text.data(), static_cast<std::streamsize>(text.size()));
  streams.out.flush();
  if (streams.out) return;
  if (errno == EPIPE) return;  // the reader has seen enough
  throw SystemFailure(fmt::format("standard output: {}", std::strerror(errno)));
}

}  // namespace deckmark
