#include "options.h"

#include <fmt/format.h>

#include <algorithm>
#include <boost/program_options.hpp>
#include <optional>

#include "table/meant_word.h"

namespace deckmark {

namespace po = boost::program_options;

namespace {

constexpr std::string_view kColorWords[] = {"auto", "always", "never"};
constexpr OptionSpec kShared[] = {
    {"quiet", "", "no results, no notices; problems, doubts, last line stay"},
    {"color", "WHEN", "auto, always or never (auto: on a terminal, unless NO_COLOR)", kColorWords},
    {"help", "", "this text"},
};

std::string option_lines(std::span<const OptionSpec> options) {
  std::string text;
  for (const OptionSpec& o : options)
    text += fmt::format("  {:<17} {}\n", fmt::format("--{}{}{}", o.name, o.value.empty() ? "" : " ", o.value),
                        o.help);
  return text;
}

}  // namespace

std::span<const OptionSpec> shared_options() { return kShared; }

std::string overview() {
  std::string text =
      std::string(kPurpose) +
      "\n\n"
      "usage: deckmark COMMAND [JOB] [options]\n"
      "JOB is a job file, or the folder that holds job.toml (default: this folder).\n\ncommands:\n";
  for (const CommandSpec& c : commands()) text += fmt::format("  {:<10}{}\n", c.name, c.summary);
  text += "\noptions:\n" + option_lines(kShared) + "  --version         the program's version\n";
  text +=
      "\n`deckmark COMMAND --help` tells more, with an example.\n"
      "exit status: 0 done, 1 something is outside, 2 bad input (nothing written),\n"
      "3 the system failed.\n";
  return text;
}

std::string help_of(const CommandSpec& c) {
  return fmt::format("usage: deckmark {} {} [options]\n\n{}\n\noptions:\n{}{}", c.name, c.operand, c.help,
                     option_lines(c.options), option_lines(kShared));
}

namespace {

Reply usage(std::string problem) {
  return {fmt::format("deckmark: {}\n", visible(problem)), Exit::bad_input};
}

po::options_description described(const CommandSpec& c) {
  po::options_description all;
  const auto add = [&](const OptionSpec& o) {
    if (o.value.empty())
      all.add_options()(std::string(o.name).c_str(), "");
    else
      all.add_options()(std::string(o.name).c_str(), po::value<std::string>(), "");
  };
  for (const OptionSpec& o : c.options) add(o);
  for (const OptionSpec& o : kShared) add(o);
  all.add_options()("version", "");
  all.add_options()("operand", po::value<std::vector<std::string>>(), "");
  return all;
}

/// A word with one dash is no path unless it stands behind `--` or is the value of an option.
std::optional<std::string> short_option(const CommandSpec& c, std::span<const std::string> words) {
  const auto takes_value = [&](const std::string& word) {
    const auto is = [&](const OptionSpec& o) {
      return !o.value.empty() && word == "--" + std::string(o.name);
    };
    return std::ranges::any_of(c.options, is) || std::ranges::any_of(kShared, is);
  };
  for (std::size_t i = 0; i < words.size() && words[i] != "--"; ++i) {
    if (takes_value(words[i]))
      ++i;
    else if (words[i].size() > 1 && words[i][0] == '-' && words[i][1] != '-')
      return words[i];
  }
  return std::nullopt;
}

std::variant<Call, Reply> read_call(const CommandSpec& c, std::span<const std::string> words,
                                    bool out_is_terminal, bool no_color) {
  if (const auto word = short_option(c, words))
    return usage(fmt::format(
        "{}: option {} is not known; a path that begins with a dash stands behind --; see deckmark {} --help",
        c.name, *word, c.name));
  po::positional_options_description operands;
  operands.add("operand", -1);
  po::variables_map given;
  const po::options_description all = described(c);
  try {
    namespace style = po::command_line_style;
    po::store(po::command_line_parser(std::vector<std::string>(words.begin(), words.end()))
                  .options(all)
                  .positional(operands)
                  .style(style::allow_long | style::long_allow_adjacent | style::long_allow_next)
                  .run(),
              given);
  } catch (const po::unknown_option& e) {
    std::vector<std::string> known;
    for (const auto& o : all.options())
      if (o->long_name() != "operand") known.push_back("--" + o->long_name());
    const auto near = meant_word(e.get_option_name(), known);
    return usage(fmt::format("{}: option {} is not known{}; see deckmark {} --help", c.name,
                             e.get_option_name(), near ? "; try " + *near : "", c.name));
  } catch (const po::error& e) {
    return usage(fmt::format("{}: {}; see deckmark {} --help", c.name, e.what(), c.name));
  }
  if (given.count("help")) return Reply{help_of(c), Exit::done};
  if (given.count("version")) return Reply{fmt::format("{}\n", program_name()), Exit::done};
  const auto text = [&](const char* key) {
    return given.count(key) ? given[key].as<std::string>() : std::string();
  };
  const auto operand =
      given.count("operand") ? given["operand"].as<std::vector<std::string>>() : std::vector<std::string>{};
  if (operand.size() > c.operands)
    return usage(
        fmt::format("{}: one {} is expected, found also \"{}\"", c.name, c.operand, operand[c.operands]));
  for (const char* key : {"out", "sign", "units", "setup", "sd", "with", "man", "completion"})
    if (given.count(key) && text(key).empty()) return usage(fmt::format("{}: --{} is empty", c.name, key));
  if (!operand.empty() && operand[0].empty()) return usage(fmt::format("{}: an empty path", c.name));
  Arguments a{operand.empty() ? "" : operand[0],
              text("out"),
              text("units"),
              text("setup"),
              text("sd"),
              text("with"),
              text("sign"),
              text("by"),
              text("on"),
              text("accept-outside"),
              given.count("csv") > 0 || given.count("shots") > 0,
              given.count("quiet") > 0,
              given.count("shots") > 0,
              false};
  const std::string color = given.count("color") ? text("color") : "auto";
  if (color != "auto" && color != "always" && color != "never")
    return usage(fmt::format("{}: --color \"{}\": expected auto, always or never", c.name, color));
  a.color = color == "always" || (color == "auto" && out_is_terminal && !no_color);
  if (operand.size() > 1) a.name = operand[1];
  a.man = text("man");
  a.completion = text("completion");
  return Call{&c, a};
}

}  // namespace

std::variant<Call, Reply> read_command_line(std::span<const std::string> words, bool out_is_terminal,
                                            bool no_color) {
  if (words.empty()) return Reply{overview(), Exit::bad_input};
  const std::string& name = words[0];
  if (name == "--help") return Reply{overview(), Exit::done};
  if (name == "--version") return Reply{fmt::format("{}\n", program_name()), Exit::done};
  std::vector<std::string> known;
  for (const CommandSpec& c : commands()) {
    if (c.name == name) return read_call(c, words.subspan(1), out_is_terminal, no_color);
    known.emplace_back(c.name);
  }
  const auto near = meant_word(name, known);
  return usage(
      fmt::format("command \"{}\" is not known{}; see deckmark --help", name, near ? "; try " + *near : ""));
}

}  // namespace deckmark
