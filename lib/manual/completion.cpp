#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "manual/manual.h"
#include "manual/reference.h"

namespace deckmark {

namespace {

std::string spaced(const std::vector<std::string>& words) {
  std::string out;
  for (const std::string& w : words) out += (out.empty() ? "" : " ") + w;
  return out;
}
std::string spaced(std::span<const std::string_view> words) {
  return spaced(std::vector<std::string>(words.begin(), words.end()));
}

/// A text in single quotes, as all three shells read it; `fish`: there a backslash escapes.
std::string quoted(std::string_view text, bool fish = false) {
  std::string out = "'";
  for (const char c : text) {
    if (c == '\'')
      out += fish ? "\\'" : "'\\''";
    else if (c == '\\' && fish)
      out += "\\\\";
    else
      out += c;
  }
  return out + "'";
}

/// What may follow a topic, each a word without blanks.
std::vector<std::string> names_of(const Manual& manual, std::string_view topic) {
  std::vector<std::string> out;
  const auto add = [&out](std::string word) {
    std::ranges::replace(word, ' ', '-');
    if (std::ranges::find(out, word) == out.end()) out.push_back(std::move(word));
  };
  if (topic == "keys")
    for (const KeyEntry& k : key_entries()) add(std::string(k.section.empty() ? kTopSection : k.section));
  if (topic == "tables")
    for (const TableEntry& t : table_entries()) add(std::string(t.name));
  if (topic == "files")
    for (const OutputSpec* f : manual.files) add(std::string(f->name));
  return out;
}

std::vector<std::string> help_words(const Manual& manual) {
  std::vector<std::string> out;
  for (const ManualTopic& t : manual_topics()) out.emplace_back(t.word);
  for (const ManualCommand& c : manual.commands) out.emplace_back(c.name);
  return out;
}

/// Options of a command and those of all, as they are typed.
std::vector<const ManualOption*> options_of(const Manual& manual, const ManualCommand& command) {
  std::vector<const ManualOption*> out;
  for (const ManualOption& o : command.options) out.push_back(&o);
  for (const ManualOption& o : manual.shared) out.push_back(&o);
  return out;
}

std::string bash(const Manual& manual) {
  std::vector<std::string> commands;
  std::map<std::string, std::set<std::string>> words;  // of an option, in all commands
  std::string options;
  for (const ManualCommand& c : manual.commands) {
    commands.emplace_back(c.name);
    std::vector<std::string> own;
    for (const ManualOption* o : options_of(manual, c)) {
      own.push_back(fmt::format("--{}", o->name));
      if (!o->words.empty()) words[own.back()].insert(o->words.begin(), o->words.end());
    }
    options += fmt::format("    {}) options='{}' ;;\n", c.name, spaced(own));
  }
  std::string values, names;
  for (const auto& [option, of] : words)
    values += fmt::format("    {}) words='{}' ;;\n", option,
                          spaced(std::vector<std::string>(of.begin(), of.end())));
  for (const ManualTopic& t : manual_topics())
    if (!t.name.empty())
      names += fmt::format("      {}) words='{}' ;;\n", t.word, spaced(names_of(manual, t.word)));
  return fmt::format(
      R"(# Completion of deckmark for bash, made by deckmark help --completion bash.
_deckmark() {{
  local cur=${{COMP_WORDS[COMP_CWORD]}} prev=${{COMP_WORDS[COMP_CWORD - 1]}}
  local command='' topic='' words='' options='' i
  for ((i = 1; i < COMP_CWORD; ++i)); do
    [[ ${{COMP_WORDS[i]}} == -* ]] && continue
    if [[ -z $command ]]; then
      command=${{COMP_WORDS[i]}}
    else
      topic=${{COMP_WORDS[i]}}
      break
    fi
  done
  COMPREPLY=()
  case $prev in
{}  esac
  case $command in
{}  esac
  if [[ -n $words ]]; then
    :
  elif [[ -z $command ]]; then
    words='{} --help --version'
  elif [[ $cur == -* ]]; then
    words=$options
  elif [[ $command == help && -z $topic ]]; then
    words='{}'
  elif [[ $command == help ]]; then
    case $topic in
{}    esac
  fi
  # Nothing to offer: the shell completes a path.
  [[ -z $words ]] || mapfile -t COMPREPLY < <(compgen -W "$words" -- "$cur")
}}
complete -o bashdefault -o default -F _deckmark deckmark
)",
      values, options, spaced(commands), spaced(help_words(manual)), names);
}

/// A text within an option of `_arguments`.
std::string zsh_meaning(std::string_view text) {
  std::string out;
  for (const char c : text) {
    if (c == '[' || c == ']' || c == ':' || c == '\\') out += '\\';
    out += c;
  }
  return out;
}

std::string zsh(const Manual& manual) {
  std::string commands, cases, names;
  for (const ManualCommand& c : manual.commands) {
    commands += fmt::format("    {}\n", quoted(fmt::format("{}:{}", c.name, c.summary)));
    cases += fmt::format("    {})\n      _arguments", c.name);
    for (const ManualOption* o : options_of(manual, c)) {
      std::string spec = fmt::format("--{}[{}]", o->name, zsh_meaning(o->meaning));
      if (!o->value.empty())
        spec += fmt::format(":{}:{}", o->value,
                            o->words.empty() ? "_files" : fmt::format("({})", spaced(o->words)));
      cases += fmt::format(" \\\n        {}", quoted(spec));
    }
    const bool helps = c.name == "help";
    cases += helps ? fmt::format(" \\\n        '1:TOPIC:({})' \\\n        '2:NAME:_deckmark_names' ;;\n",
                                 spaced(help_words(manual)))
                   : " \\\n        '*:JOB:_files' ;;\n";
  }
  for (const ManualTopic& t : manual_topics())
    if (!t.name.empty())
      names += fmt::format("    {}) compadd -- {} ;;\n", t.word, spaced(names_of(manual, t.word)));
  return fmt::format(R"(#compdef deckmark
# Completion of deckmark for zsh, made by deckmark help --completion zsh.
_deckmark_names() {{
  case $words[2] in
{}  esac
}}
_deckmark() {{
  local -a commands
  commands=(
{}  )
  if (( CURRENT == 2 )); then
    _describe command commands
    return
  fi
  shift words
  (( CURRENT-- ))
  case $words[1] in
{}  esac
}}
_deckmark "$@"
)",
                     names, commands, cases);
}

std::string fish(const Manual& manual) {
  std::string out = "# Completion of deckmark for fish, made by deckmark help --completion fish.\n";
  for (const ManualCommand& c : manual.commands) {
    out += fmt::format("complete -c deckmark -f -n __fish_use_subcommand -a {} -d {}\n", c.name,
                       quoted(c.summary, true));
    for (const ManualOption* o : options_of(manual, c)) {
      out += fmt::format("complete -c deckmark -n '__fish_seen_subcommand_from {}' -l {}", c.name, o->name);
      if (!o->words.empty())
        out += fmt::format(" -x -a '{}'", spaced(o->words));
      else if (!o->value.empty())
        out += " -r";
      out += fmt::format(" -d {}\n", quoted(o->meaning, true));
    }
  }
  out += fmt::format("complete -c deckmark -f -n '__fish_seen_subcommand_from help' -a '{}'\n",
                     spaced(help_words(manual)));
  for (const ManualTopic& t : manual_topics())
    if (!t.name.empty())
      out += fmt::format(
          "complete -c deckmark -f -n '__fish_seen_subcommand_from help; and __fish_seen_subcommand_from {}' "
          "-a '{}'\n",
          t.word, spaced(names_of(manual, t.word)));
  return out;
}

}  // namespace

Outcome<std::string> completion(const Manual& manual, std::string_view shell) {
  if (shell == "bash") return bash(manual);
  if (shell == "zsh") return zsh(manual);
  if (shell == "fish") return fish(manual);
  return unknown_word("shell", shell, {std::begin(kCompletionShells), std::end(kCompletionShells)});
}

}  // namespace deckmark
