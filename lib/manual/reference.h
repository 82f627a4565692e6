#pragma once
/// Private to the room: the declarations as rows, and what a user may mean by a name.

#include <string>
#include <string_view>
#include <vector>

#include "job/key_entries.h"
#include "manual/manual.h"

namespace deckmark {

struct ColumnEntry {
  std::string_view name, kind, meaning;
  bool required = false;
  std::string_view also;  ///< another word under which it is read; empty: none
};
/// A table that is read.
struct TableEntry {
  std::string_view name, where, meaning;  ///< `where`: when it is read so, where two have one name
  std::vector<ColumnEntry> columns;
  /// `control, where the site has a crs`
  std::string title() const;
};
const std::vector<TableEntry>& table_entries();

/// `list.columns`; above all sections the key alone.
std::string full_name(const KeyEntry& key);
/// `[hangers]`, `[[setup]]`; empty above all sections.
std::string section_head(const KeyEntry& key);
/// The name by which the keys above all sections are asked for.
inline constexpr std::string_view kTopSection = "top";
/// In words, for a row of CSV: `yes`, `no`, or when.
std::string required_word(const KeyEntry& key);
/// What a user has to be told beside the meaning: `required`, `required with runs`, `default "5 mm"`; empty.
std::string standing_of(const KeyEntry& key);

/// `text`, `length`: what stands in a written column.
std::string_view kind_word(OutKind kind);
/// `every run` where nothing is said.
std::string_view when_made(const OutputSpec& file);

/// What is meant by the name behind `keys`, `tables` or `files`; all where it is empty, else one or more.
Outcome<std::vector<const KeyEntry*>> keys_named(std::string_view name);
Outcome<std::vector<const TableEntry*>> tables_named(std::string_view name);
Outcome<std::vector<const OutputSpec*>> files_named(const Manual& manual, std::string_view name);

/// A word that is not known; of the known ones the nearest is to be tried. `expected`: where they are too
/// many to be named.
Fault unknown_word(std::string_view what, std::string_view word, const std::vector<std::string>& known,
                   std::string_view expected = {});

}  // namespace deckmark
