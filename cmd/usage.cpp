#include "usage.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <system_error>

#include "report/fold.h"
#include "table/meant_word.h"

namespace deckmark {

namespace {

constexpr std::size_t kTextAt = 19;  // the column in which the meaning of an option begins

struct Group {
  CommandGroup group;
  std::string_view title;
};
constexpr Group kGroups[] = {{CommandGroup::every_job, "commands for every job:"},
                             {CommandGroup::tape, "with laser and tape:"},
                             {CommandGroup::instrument, "with an instrument:"},
                             {CommandGroup::afterwards, "afterwards:"},
                             {CommandGroup::rarely, "rarely:"}};

std::string typed(const OptionSpec& o) {
  return fmt::format("{}--{}{}{}", o.letter ? fmt::format("-{}, ", o.letter) : "", o.name,
                     o.value.empty() ? "" : " ", o.value);
}

std::string option_rows(std::span<const OptionSpec> options, std::size_t width) {
  std::string text;
  for (const OptionSpec& o : options) text += row(typed(o), o.help, kTextAt, width);
  return text;
}

/// Lines taken one by one: a paragraph, a row of a table, or nothing between paragraphs.
std::string laid_out(std::string_view text, std::size_t width) {
  std::string out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    const std::string_view line = text.substr(0, end);
    text.remove_prefix(std::min(end + 1, text.size()));
    const std::size_t tab = line.find('\t');
    if (tab != std::string_view::npos)
      out += row(line.substr(0, tab), line.substr(tab + 1), kTextAt, width);
    else
      out += fold("", "", line, width);
  }
  return out;
}

/// Where an installed program has its example jobs; empty: it runs where it was built.
std::filesystem::path shipped_jobs() {
  std::error_code none;
  const auto jobs = std::filesystem::read_symlink("/proc/self/exe", none).parent_path().parent_path() /
                    "share/deckmark/examples";
  return std::filesystem::is_directory(jobs, none) ? jobs : std::filesystem::path();
}

}  // namespace

std::string row(std::string_view word, std::string_view meaning, std::size_t at, std::size_t width) {
  const std::string next(at, ' ');
  if (word.size() + 2 < at) return fold(fmt::format("  {:<{}}", word, at - 2), next, meaning, width);
  return fmt::format("  {}\n", word) + fold(next, next, meaning, width);
}

std::string overview(std::size_t width) {
  std::string text =
      fold("", "", kPurpose, width) + "\nusage: deckmark COMMAND [JOB] [options]\n" +
      fold("", "", "JOB is a job file, or the folder that holds job.toml (default: this folder).", width);
  for (const Group& g : kGroups) {
    text += fmt::format("\n{}\n", g.title);
    for (const CommandSpec& c : commands())
      if (c.group == g.group) text += row(c.name, c.summary, 13, width);
  }
  text += "\noptions:\n" + option_rows(shared_options(), width) + "\n";
  text += fold("", "",
               "`deckmark COMMAND --help` tells more, with an example; `deckmark help` has keys, tables, "
               "files and words.",
               width);
  if (const auto jobs = shipped_jobs(); !jobs.empty())
    text +=
        fold("", "", "The jobs of the examples lie in " + jobs.string() + ". To try one in a copy:", width) +
        fmt::format("  cp -r {}/foyer-m . && deckmark run foyer-m\n", jobs.string());
  text +=
      fold("", "",
           "exit status: 0 done, 1 something is outside, 2 bad input (nothing written), 3 the system failed.",
           width);
  return text;
}

std::string help_of(const CommandSpec& c, std::size_t width) {
  std::string text = fmt::format("usage: deckmark {}{}{} [options]\n\n", c.name,
                                 c.operand.usage.empty() ? "" : " ", c.operand.usage) +
                     laid_out(c.help, width) + "\noptions:\n" + option_rows(c.options, width) +
                     option_rows(shared_options(), width);
  text += c.examples.size() == 1 ? "\nexample:\n" : "\nexamples:\n";
  for (const std::string_view example : c.examples) text += fmt::format("  {}\n", example);
  return text + "\n" + fold("exit status: ", "", c.exit_status, width);
}

std::string suggested(std::string_view word, const std::vector<std::string>& known) {
  std::vector<std::string> begun;
  std::ranges::copy_if(known, std::back_inserter(begun),
                       [&](const std::string& k) { return !word.empty() && k.starts_with(word); });
  if (begun.size() == 1) return "; try " + begun[0];
  if (begun.empty()) {
    const auto near = meant_word(word, known);
    return near ? "; try " + *near : "";
  }
  return fmt::format("; {} begin so", fmt::join(begun, " and "));
}

}  // namespace deckmark
