#include "manual/topics.h"

#include <fmt/format.h>

#include <algorithm>

#include "manual/manual.h"
#include "manual/prose.h"
#include "manual/reference.h"
#include "manual/reference_text.h"
#include "topic_files.h"

namespace deckmark {

namespace {

constexpr ManualTopic kTopics[] = {
    {"keys", "SECTION", "what job.toml may say, with lines to paste"},
    {"tables", "TABLE", "tables that are read, and their columns"},
    {"files", "FILE", "files that run writes, and their columns"},
    {"values", "", "how lengths, angles and the rest are typed"},
    {"words", "", "what the words of this trade mean here"},
    {"decisions", "", "what is done where more than one way would be right"},
    {"delivery", "", "how a bill and a delivery are held against the drawing"},
    {"status", "", "exit statuses, and the line by which a job stands"},
    {"changes", "", "what each version brought"},
};

}  // namespace

std::span<const ManualTopic> manual_topics() { return kTopics; }

std::string_view topic_prose(std::string_view word) {
  const std::string file = fmt::format("{}.txt", word);
  for (const EmbeddedFile& f : topics())
    if (f.name == file) return f.text;
  return {};
}

Outcome<std::string> manual_text(const Manual& manual, std::string_view topic, std::string_view name,
                                 std::size_t width) {
  if (topic == "keys") return keys_text(name, width);
  if (topic == "tables") return tables_text(name, width);
  if (topic == "files") return files_text(manual, name, width);
  const std::string_view prose = topic_prose(topic);
  const bool is_command =
      std::ranges::find(manual.commands, topic, &ManualCommand::name) != manual.commands.end();
  if (!name.empty() && (is_command || !prose.empty()))
    return Fault{fmt::format("{} behind {}", in_quotes(name), topic), fmt::format("{} alone", topic), ""};
  if (!prose.empty()) return filled(blocks_of(prose), width);
  std::vector<std::string> known;
  for (const ManualTopic& t : kTopics) known.emplace_back(t.word);
  for (const ManualCommand& c : manual.commands) known.emplace_back(c.name);
  return unknown_word("topic", topic, known);
}

}  // namespace deckmark
