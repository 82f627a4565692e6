#include <fmt/format.h>

#include <cerrno>
#include <cstring>

#include "command.h"
#include "exporter/batch.h"
#include "measure/visible_lines.h"
#include "work/answer_json.h"
#include "work/run.h"

namespace deckmark {

namespace {

constexpr CommandSpec const* kCommands[] = {
    &kNewCommand,     &kCheckCommand,     &kBaselineCommand, &kRunCommand,     &kOffsetsCommand,
    &kGiveCommand,    &kIssuedCommand,    &kTodayCommand,    &kRestoreCommand, &kHelpCommand,
    &kSetupCommand,   &kStakeCommand,     &kBookCommand,     &kPlanCommand,    &kHeightsCommand,
    &kCompareCommand, &kFieldtestCommand, &kAsbuiltCommand,  &kHistoryCommand, &kGroundCommand};

std::string_view style_of(Grade grade, bool color) {
  if (!color) return "";
  return grade == Grade::problem ? "31" : grade == Grade::doubt ? "33" : "36";
}

/// The words say it all; reverse video is seen where red and green are not told apart.
std::string_view style_of(JobVerdict verdict) {
  switch (verdict) {
    case JobVerdict::ready:
      return "1;32";
    case JobVerdict::not_checked:
      return "1;33";
    case JobVerdict::stop:
      return "1;7;31";
  }
  return "";
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

void tell(const Messages& messages, const Arguments& arguments, const Streams& streams) {
  for (const Grade grade : {Grade::problem, Grade::doubt, Grade::notice}) {
    if (grade == Grade::notice && arguments.quiet) continue;
    // Forty cells read alike are one thing to know; --csv and --json tell them one by one.
    for (const Message& m : grade == Grade::notice ? messages.folded(grade) : messages.sorted(grade)) {
      const std::string label = grade == Grade::problem ? "" : fmt::format("{}: ", grade_word(grade));
      streams.line(label + message_line(m), style_of(grade, arguments.color));
    }
  }
}

Exit refuse(const Messages& messages, const Arguments& arguments, const Streams& streams,
            std::string_view what_was_not_done) {
  if (arguments.json) streams.table(problems_json(messages));
  tell_refused(messages, streams, what_was_not_done);
  return Exit::bad_input;
}

void tell_refused(const Messages& messages, const Streams& streams, std::string_view what_was_not_done) {
  streams.line(fmt::format("{} problem{}; {}", messages.problems(), messages.problems() == 1 ? "" : "s",
                           what_was_not_done));
}

void show(const JobOutcome& outcome, const Messages& messages, const Arguments& arguments,
          const Streams& streams) {
  if (arguments.json)
    streams.table(answer_json(outcome, messages));
  else if (arguments.csv)
    streams.table(outcome.table.csv);
  else if (!arguments.quiet)
    streams.text(outcome.text);
}

void tell_standing(const JobOutcome& outcome, const Arguments& arguments, const Streams& streams) {
  if (outcome.line.empty()) return;
  streams.line(outcome.line, arguments.color && outcome.verdict ? style_of(*outcome.verdict) : "");
}

Exit answer(const JobOutcome& outcome, const Messages& messages, const Arguments& arguments,
            const Streams& streams, std::string_view what_was_not_done) {
  tell(messages, arguments, streams);
  if (messages.has_problems()) return refuse(messages, arguments, streams, what_was_not_done);
  show(outcome, messages, arguments, streams);
  tell_standing(outcome, arguments, streams);
  return outcome.exit;
}

void tell_unused_out(std::string_view why, const Arguments& arguments, const Streams& streams) {
  if (!arguments.quiet)
    streams.line(fmt::format("notice: --out: {}", why), style_of(Grade::notice, arguments.color));
}

bool wants_table(const Arguments& arguments) { return arguments.csv || arguments.json; }

std::string job_of(const Arguments& arguments) {
  return arguments.operands.empty() ? "." : arguments.operands[0];
}

void Streams::line(std::string_view text, std::string_view style) const {
  progress_.stop();
  const std::string shown = visible(text);
  err_ << (style.empty() ? shown : fmt::format("\x1b[{}m{}\x1b[0m", style, shown)) << '\n';
}

void Streams::lines(std::string_view text) const {
  progress_.stop();
  err_ << visible_lines(std::string(text));
}

void Streams::text(std::string_view text) const { table(visible_lines(std::string(text))); }

void Streams::table(std::string_view csv) const {
  progress_.stop();
  errno = 0;
  out_.write(csv.data(), static_cast<std::streamsize>(csv.size()));
  out_.flush();
  if (out_) return;
  if (errno == EPIPE) return;  // the reader has seen enough
  throw SystemFailure(fmt::format("standard output: {}", std::strerror(errno)));
}

}  // namespace deckmark
