#include <fmt/format.h>

#include "command.h"
#include "manual/manual.h"
#include "table/message.h"
#include "usage.h"
#include "work/outputs.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"csv", "", "of keys, tables or files: every row as CSV", &Arguments::csv},
    {"man", "PAGE", "a page for man, such as deckmark-job.5", &Arguments::man, kManPages},
    {"completion", "SHELL", "completion for bash, zsh or fish", &Arguments::completion, kCompletionShells},
};
constexpr std::string_view kExamples[] = {"deckmark help keys hangers"};

std::vector<ManualOption> options_of(std::span<const OptionSpec> specs) {
  std::vector<ManualOption> out;
  for (const OptionSpec& o : specs) out.push_back({o.name, o.value, o.help, o.words, o.letter});
  return out;
}

/// Help, examples and exit status of a command as the manual has them, in paragraphs; rows of tables as they
/// are.
std::string prose_of(const CommandSpec& c) {
  std::string out;
  for (const char letter : c.help) {
    if (letter == '\t') {
      const std::size_t line = out.rfind('\n') + 1;
      out = out.substr(0, line) + fmt::format("  {:<17}", out.substr(line));
    } else {
      out += letter;
    }
  }
  out += "\n\n";
  for (const std::string_view example : c.examples) out += fmt::format("example: {}\n", example);
  return out + fmt::format("\nexit status: {}", c.exit_status);
}

/// The program as its reference tells it.
struct Told {
  std::vector<std::string> prose;
  std::vector<ManualCommand> list;
  std::vector<ManualOption> shared = options_of(shared_options());
  Manual manual;

  Told() {
    for (const CommandSpec& c : commands()) prose.push_back(prose_of(c));
    for (const CommandSpec& c : commands())
      list.push_back({"", c.name, c.operand.usage, c.summary, prose[list.size()], options_of(c.options)});
    manual = {DECKMARK_VERSION, DECKMARK_DATE, kPurpose, list, shared, outputs(), output_of};
  }
};

std::string topics(std::size_t width) {
  std::string out = "\ntopics of help:\n";
  for (const ManualTopic& t : manual_topics())
    out += row(fmt::format("{}{}{}", t.word, t.name.empty() ? "" : " ", t.name), t.meaning, 20, width);
  return out + row("COMMAND", "what it does, its options, an example", 20, width);
}

Outcome<std::string> answer_of(const Arguments& arguments) {
  const Told told;
  const auto operand = [&](std::size_t i) {
    return i < arguments.operands.size() ? arguments.operands[i] : std::string();
  };
  const std::string topic = operand(0), name = operand(1);
  if (!arguments.man.empty()) return man_page(told.manual, arguments.man);
  if (!arguments.completion.empty()) return completion(told.manual, arguments.completion);
  if (arguments.csv) return manual_csv(told.manual, topic, name);
  if (topic.empty()) return overview(arguments.width) + topics(arguments.width);
  if (name.empty())
    for (const CommandSpec& c : commands())
      if (c.name == topic) return help_of(c, arguments.width);
  return manual_text(told.manual, topic, name, arguments.width);
}

Exit run(const Arguments& arguments, const Streams& streams) {
  const Outcome<std::string> text = answer_of(arguments);
  if (!text) {
    streams.line(fmt::format("deckmark: help: {}", fault_text(text.fault())));
    return Exit::bad_input;
  }
  if (arguments.csv)
    streams.table(*text);
  else
    streams.text(*text);
  return Exit::done;
}

}  // namespace

const CommandSpec kHelpCommand{"help",
                               CommandGroup::every_job,
                               {"[TOPIC [NAME]]", 0, 2},
                               "keys, tables, files, commands: what each is, with lines to paste",
                               "Tells what the program knows of its own words: its commands, the keys of a "
                               "job, tables that it reads, files "
                               "that it writes, and how values are typed. Alone it lists the topics. A file "
                               "may be named as a run made it, "
                               "such as shots-S1.csv.",
                               kExamples,
                               "0 done, 2 no such topic or name.",
                               kOptions,
                               run};

}  // namespace deckmark
