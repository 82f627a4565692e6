#include <fmt/format.h>

#include "command.h"
#include "manual/manual.h"
#include "options.h"
#include "table/message.h"
#include "work/outputs.h"

namespace deckmark {

namespace {

constexpr OptionSpec kOptions[] = {
    {"csv", "", "of keys, tables or files: every row as CSV"},
    {"man", "PAGE", "a page for man, such as deckmark-job.5", kManPages},
    {"completion", "SHELL", "completion for bash, zsh or fish", kCompletionShells},
};

constexpr std::size_t kWidth = 80;  // of a screen

std::vector<ManualOption> options_of(std::span<const OptionSpec> specs) {
  std::vector<ManualOption> out;
  for (const OptionSpec& o : specs) out.push_back({o.name, o.value, o.help, o.words});
  return out;
}

/// The program as its reference tells it.
struct Told {
  std::vector<ManualCommand> list;
  std::vector<ManualOption> shared = options_of(shared_options());
  Manual manual;

  Told() {
    for (const CommandSpec& c : commands())
      list.push_back({"", c.name, c.operand, c.summary, c.help, options_of(c.options)});
    manual = {DECKMARK_VERSION, DECKMARK_DATE, kPurpose, list, shared, outputs(), output_of};
  }
};

std::string topics() {
  std::string out = "\ntopics of help:\n";
  for (const ManualTopic& t : manual_topics())
    out += fmt::format("  {:<17} {}\n", fmt::format("{}{}{}", t.word, t.name.empty() ? "" : " ", t.name),
                       t.meaning);
  return out + "  COMMAND           what it does, its options, an example\n";
}

Outcome<std::string> answer_of(const Arguments& arguments) {
  const Told told;
  const std::string& topic = arguments.positional;
  if (!arguments.man.empty()) return man_page(told.manual, arguments.man);
  if (!arguments.completion.empty()) return completion(told.manual, arguments.completion);
  if (arguments.csv) return manual_csv(told.manual, topic, arguments.name);
  if (topic.empty()) return overview() + topics();
  if (arguments.name.empty())
    for (const CommandSpec& c : commands())
      if (c.name == topic) return help_of(c);
  return manual_text(told.manual, topic, arguments.name, kWidth);
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

const CommandSpec kHelpCommand{
    "help",
    "[TOPIC [NAME]]",
    "keys, tables, files, commands: what each is, with lines to paste",
    "Tells what the program knows of its own words: its commands, the keys of a job,\n"
    "tables that it reads, files that it writes, and how values are typed. Alone it\n"
    "lists the topics. A file may be named as a run made it, such as shots-S1.csv.\n\n"
    "example: deckmark help keys hangers\n\n"
    "exit status: 0 done, 2 no such topic or name.",
    kOptions,
    run,
    2};

}  // namespace deckmark
