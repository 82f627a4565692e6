#include "options.h"

#include <fmt/format.h>

#include <algorithm>
#include <boost/program_options.hpp>

#include "usage.h"

namespace deckmark {

namespace po = boost::program_options;

namespace {

constexpr std::string_view kColorWords[] = {"auto", "always", "never"};
constexpr OptionSpec kShared[] = {
    {"quiet", "", "no results, no notices; problems, doubts, last line stay", &Arguments::quiet},
    {"color", "WHEN", "auto, always or never (auto: not with NO_COLOR or TERM=dumb)", &Arguments::color_when,
     kColorWords},
    {"help", "", "this text", &Arguments::help, {}, 'h'},
    {"version", "", "the program's version", &Arguments::version, {}, 'V'},
};

// Commands that read a job take --out, with which many are typed alike, and say that they write nothing.
constexpr OptionSpec kUnusedOut[] = {{"out", "DIR", "", &Arguments::out}};

/// One option as it was typed.
struct TypedOption {
  std::string word;   ///< `--out`, as typed, without what stands behind `=`
  std::string value;  ///< of an option that takes one
};
/// A command line taken apart; that needs no command, since an option takes a value with each or with none.
struct Typed {
  std::vector<std::string> operands;  ///< the command's name is the first
  std::vector<TypedOption> options;
};

const OptionSpec* option_in(std::span<const OptionSpec> options, std::string_view word) {
  const auto found = std::ranges::find_if(
      options, [&](const OptionSpec& o) { return word.starts_with("--") && word.substr(2) == o.name; });
  return found == options.end() ? nullptr : &*found;
}

std::vector<std::string> words_of(std::span<const OptionSpec> options) {
  std::vector<std::string> words;
  for (const OptionSpec& o : options) words.push_back("--" + std::string(o.name));
  return words;
}

Reply usage(std::string_view problem) {
  return {fmt::format("deckmark: {}\n", visible(problem)), Exit::bad_input};
}

po::options_description options_of_all_commands() {
  po::options_description all;
  const auto add = [&](std::span<const OptionSpec> options) {
    for (const OptionSpec& o : options) {
      const std::string name(o.name);
      if (all.find_nothrow(name, false)) continue;
      if (o.value.empty())
        all.add_options()(name.c_str(), "");
      else
        all.add_options()(name.c_str(), po::value<std::string>(), "");
    }
  };
  add(kShared);
  for (const CommandSpec& c : commands()) add(c.options);
  return all;
}

/// `-h` as `--help`.
std::string long_word(const std::string& word) {
  for (const OptionSpec& o : kShared)
    if (o.letter && word == std::string{'-', o.letter}) return "--" + std::string(o.name);
  return word;
}

/// What stands for the value of an option in the help; an option has the same for every command.
std::string_view value_of(std::string_view word) {
  for (const CommandSpec& c : commands())
    if (const OptionSpec* o = option_in(c.options, word)) return o->value;
  const OptionSpec* o = option_in(kShared, word);
  return o ? o->value : "VALUE";
}

Reply empty_value(std::string_view word) {
  return usage(fmt::format("{} is empty; {} {} is expected", word, word, value_of(word)));
}

Reply missing_value(std::string_view word) {
  return usage(fmt::format("{} lacks its value; {} {} is expected", word, word, value_of(word)));
}

/// The words before `--`, of which one that begins with a dash is an option or an option's value. A reply
/// where an option is wrong whatever the command.
std::optional<Reply> take_apart(const std::vector<std::string>& words, Typed& typed) {
  namespace style = po::command_line_style;
  using Wrong = po::invalid_command_line_syntax;
  const po::options_description all = options_of_all_commands();
  try {
    const auto parsed = po::command_line_parser(words)
                            .options(all)
                            .style(style::allow_long | style::long_allow_adjacent | style::long_allow_next)
                            .allow_unregistered()
                            .run();
    for (const po::option& o : parsed.options) {
      const std::string& first = o.original_tokens.at(0);
      const std::string value = o.value.empty() ? "" : o.value[0];
      if (o.position_key >= 0 && (first.size() < 2 || first[0] != '-')) {
        typed.operands.push_back(first);
        continue;
      }
      // A value with two dashes is an option that was typed in its place; behind `=` it is a value.
      if (o.position_key < 0 && o.original_tokens.size() > 1 && value.starts_with("--"))
        return missing_value(first);
      typed.options.push_back({first.substr(0, first.find('=')), o.position_key < 0 ? value : ""});
    }
  } catch (const Wrong& e) {
    const std::string word = e.get_option_name().substr(0, e.get_option_name().find('='));
    if (e.kind() == Wrong::extra_parameter) return usage(fmt::format("{} takes no value", word));
    return e.kind() == Wrong::empty_adjacent_parameter ? empty_value(word) : missing_value(word);
  }
  return std::nullopt;
}

/// An option that the command has not; `command` is null where none was typed.
Reply unknown_option(const CommandSpec* command, const std::string& word) {
  const std::string name = command ? std::string(command->name) : "";
  const std::string where = name.empty() ? "" : name + ": ",
                    see = fmt::format("see deckmark {}{}--help", name, name.empty() ? "" : " ");
  std::vector<std::string_view> owners;
  for (const CommandSpec& c : commands())
    if (option_in(c.options, word)) owners.push_back(c.name);
  if (!owners.empty())
    return usage(fmt::format("{}{} is an option of {}; {}", where, word, fmt::join(owners, ", "), see));
  std::vector<std::string> known = words_of(kShared);
  if (command) {
    const std::vector<std::string> own = words_of(command->options);
    known.insert(known.begin(), own.begin(), own.end());
  }
  const bool one_dash = !word.starts_with("--");
  // A path that begins with a dash is no misspelt option: -job is not near --json.
  const bool is_begun =
      std::ranges::any_of(known, [&](const std::string& k) { return k.starts_with("-" + word); });
  std::string hint = !one_dash ? suggested(word, known) : is_begun ? suggested("-" + word, known) : "";
  if (hint.empty() && one_dash) hint = "; a path that begins with a dash stands behind --";
  return usage(fmt::format("{}option {} is not known{}; {}", where, word, hint, see));
}

/// Something wrong with what stands behind the command's name.
std::optional<std::string> wrong_operands(const CommandSpec& c, const std::vector<std::string>& operands) {
  const OperandSpec& o = c.operand;
  if (operands.size() < o.least) return fmt::format("{} is missing; try {}", o.what, c.examples.front());
  const std::string_view word =
      o.usage.starts_with('[') ? o.usage.substr(1, o.usage.find_first_of(" ]") - 1) : o.usage;
  if (operands.size() > o.most && o.most > 1)
    return fmt::format("{} is expected; found {} too", o.usage, in_quotes(operands[o.most]));
  if (operands.size() > o.most)
    return fmt::format("one {} at a time; found {} and {} (a path with blanks stands in quotes)", word,
                       in_quotes(operands[o.most - 1]), in_quotes(operands[o.most]));
  if (std::ranges::count(operands, "")) return fmt::format("{} is empty", word);
  return std::nullopt;
}

/// Fills the arguments; a reply where an option cannot stand so.
std::optional<Reply> take_options(const CommandSpec& c, const Typed& typed, Arguments& a) {
  std::vector<std::string_view> seen;
  for (const TypedOption& given : typed.options) {
    const OptionSpec* o = option_in(c.options, given.word);
    if (!o) o = option_in(kShared, given.word);
    if (!o && c.operand.usage == kJobOperand.usage) o = option_in(kUnusedOut, given.word);
    if (!o) return unknown_option(&c, given.word);
    if (std::ranges::count(seen, o->name))
      return usage(fmt::format("{}: --{} is given twice", c.name, o->name));
    seen.push_back(o->name);
    if (!o->value.empty() && given.value.empty()) return empty_value(given.word);
    if (const auto* flag = std::get_if<bool Arguments::*>(&o->into))
      a.*(*flag) = true;
    else
      a.*std::get<std::string Arguments::*>(o->into) = given.value;
  }
  return std::nullopt;
}

std::variant<Call, Reply> read_call(const CommandSpec& c, Typed typed, const Terminal& terminal) {
  Arguments a;
  a.width = terminal.width;
  a.narrow = terminal.narrow;
  a.operands.assign(typed.operands.begin() + 1, typed.operands.end());
  if (auto reply = take_options(c, typed, a)) return *reply;
  if (a.help) return Reply{help_of(c, terminal.width), Exit::done};
  if (a.version) return Reply{program_and_commit() + "\n", Exit::done};
  if (const auto wrong = wrong_operands(c, a.operands)) return usage(fmt::format("{}: {}", c.name, *wrong));
  if (a.json && a.csv) return usage(fmt::format("{}: --csv or --json, not both", c.name));
  if (!a.color_when.empty() && !std::ranges::count(kColorWords, a.color_when))
    return usage(fmt::format("{}: --color {}: expected auto, always or never{}", c.name,
                             in_quotes(a.color_when),
                             suggested(a.color_when, {std::begin(kColorWords), std::end(kColorWords)})));
  a.color = a.color_when == "always" || (a.color_when != "never" && terminal.color);
  return Call{&c, a, !a.out.empty() && !option_in(c.options, "--out")};
}

/// What was typed has no command.
Reply without_command(const Typed& typed, const Terminal& terminal) {
  bool version = false;
  for (const TypedOption& o : typed.options) {
    if (o.word == "--help") return {overview(terminal.width), Exit::done};
    if (!option_in(kShared, o.word)) return unknown_option(nullptr, o.word);
    version = version || o.word == "--version";
  }
  if (version) return {program_and_commit() + "\n", Exit::done};
  return usage("a command is missing; see deckmark --help");
}

Reply unknown_command(const Typed& typed) {
  std::vector<std::string> known;
  for (const CommandSpec& c : commands()) known.emplace_back(c.name);
  const std::string& name = typed.operands[0];
  if (typed.operands.size() > 1 && std::ranges::count(known, typed.operands[1]))
    return usage(fmt::format("the command comes first; try deckmark {} {}", typed.operands[1], name));
  return usage(
      fmt::format("command {} is not known{}; see deckmark --help", in_quotes(name), suggested(name, known)));
}

}  // namespace

std::span<const OptionSpec> shared_options() { return kShared; }

std::variant<Call, Reply> read_command_line(std::span<const std::string> words, const Terminal& terminal) {
  if (words.empty()) return Reply{overview(terminal.width), Exit::bad_input};
  const auto end = std::ranges::find(words, "--");
  std::vector<std::string> before;
  std::transform(words.begin(), end, std::back_inserter(before), long_word);
  Typed typed;
  if (auto reply = take_apart(before, typed)) return *reply;
  if (end != words.end()) typed.operands.insert(typed.operands.end(), end + 1, words.end());
  if (typed.operands.empty()) return without_command(typed, terminal);
  for (const CommandSpec& c : commands())
    if (c.name == typed.operands[0]) return read_call(c, typed, terminal);
  return unknown_command(typed);
}

}  // namespace deckmark
