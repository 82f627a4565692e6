#pragma once
/// The program's own reference, for the screen, for `man` and for the shell. What it says of keys, columns
/// and files comes from the declarations by which the program reads and writes; there is no second list.

#include <cstddef>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "measure/fault.h"
#include "terms/output.h"

namespace deckmark {

/// An option as it is typed behind `--`. `value` empty: a switch. `words`: all that the value may be, where
/// that is known.
struct ManualOption {
  std::string_view name, value, meaning;
  std::span<const std::string_view> words{};
  char letter = 0;  ///< what may be typed in its place behind one dash; 0: nothing
};
/// `help`: paragraphs as of a topic (`prose.h`). `group`: under which head it is told; those of one stand
/// together.
struct ManualCommand {
  std::string_view group, name, operand, summary, help;
  std::vector<ManualOption> options{};  ///< beside those of every command
};
/// What the reference cannot know of the program by itself.
struct Manual {
  std::string_view version;  ///< `0.1.0`
  std::string_view date;     ///< of the release, `2026-11-27`; empty: none
  std::string_view purpose;  ///< what the program is for, in a sentence or two
  std::span<const ManualCommand> commands;
  std::span<const ManualOption> shared;                      ///< options of every command
  std::span<const OutputSpec* const> files;                  ///< that a run writes
  const OutputSpec* (*file_of)(std::string_view) = nullptr;  ///< of a file as it is named; null: none
};

/// What stands behind `deckmark help` beside the names of commands. `name`: what may follow it; empty:
/// nothing.
struct ManualTopic {
  std::string_view word, name, meaning;
};
std::span<const ManualTopic> manual_topics();

/// A topic in lines of `width` characters. REQUIRES a width of 60 or more. `name` empty: all of the topic.
Outcome<std::string> manual_text(const Manual& manual, std::string_view topic, std::string_view name,
                                 std::size_t width);
/// The same as CSV, of `keys`, `tables` and `files`.
Outcome<std::string> manual_csv(const Manual& manual, std::string_view topic, std::string_view name);

inline constexpr std::string_view kManPages[] = {"deckmark.1", "deckmark-job.5", "deckmark-tables.5",
                                                 "deckmark-files.5"};
/// One of them in the macros of man(7).
Outcome<std::string> man_page(const Manual& manual, std::string_view page);

inline constexpr std::string_view kCompletionShells[] = {"bash", "zsh", "fish"};
/// A script by which the shell completes commands, options, their words, and what `help` knows.
Outcome<std::string> completion(const Manual& manual, std::string_view shell);

}  // namespace deckmark
