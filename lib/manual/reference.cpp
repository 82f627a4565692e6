#include "manual/reference.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "job/tables/all.h"
#include "measure/letters.h"
#include "table/meant_word.h"
#include "table/message.h"
#include "table/written.h"

namespace deckmark {

namespace {

using Row = std::vector<std::string>;

std::string csv_of(const std::vector<std::string>& header, const std::vector<Row>& rows) {
  std::string csv;
  written_table(TableStyle{}, header, rows.size(), [&rows](auto& sink, std::size_t i) {
    for (const std::string& cell : rows[i]) {
      if (cell.empty())
        sink.empty();
      else
        sink.text(cell);
    }
  })->write([&csv](const char* data, std::size_t size) { csv.append(data, size); });
  return csv;
}

/// As it is compared: small letters, and a blank for each sign that may stand for one.
std::string plain(std::string_view name) {
  std::string out = small_letters(name);
  for (char& c : out)
    if (c == '-' || c == '_') c = ' ';
  return out;
}

/// `[hangers]` or `[[setup]]` without its brackets.
std::string_view without_brackets(std::string_view name) {
  while (name.starts_with('[')) name.remove_prefix(1);
  while (name.ends_with(']')) name.remove_suffix(1);
  return name;
}

template <class T>
std::vector<const T*> pointers(const std::vector<T>& all) {
  std::vector<const T*> out;
  out.reserve(all.size());
  for (const T& one : all) out.push_back(&one);
  return out;
}

Outcome<std::string> keys_csv(std::string_view name) {
  const auto keys = keys_named(name);
  if (!keys) return keys.fault();
  std::vector<Row> rows;
  for (const KeyEntry* k : *keys)
    rows.push_back({std::string(k->section), std::string(k->name), k->kind, std::string(k->without.text),
                    required_word(*k), std::string(k->meaning)});
  return csv_of({"section", "key", "kind", "default", "required", "meaning"}, rows);
}

Outcome<std::string> tables_csv(std::string_view name) {
  const auto tables = tables_named(name);
  if (!tables) return tables.fault();
  std::vector<Row> rows;
  for (const TableEntry* t : *tables)
    for (const ColumnEntry& c : t->columns)
      rows.push_back({t->title(), std::string(c.name), std::string(c.kind), c.required ? "yes" : "no",
                      std::string(c.meaning)});
  return csv_of({"table", "column", "kind", "required", "meaning"}, rows);
}

Outcome<std::string> files_csv(const Manual& manual, std::string_view name) {
  const auto files = files_named(manual, name);
  if (!files) return files.fault();
  std::vector<Row> rows;
  for (const OutputSpec* f : *files) {
    const std::string file(f->name), when(when_made(*f));
    if (f->columns.empty()) rows.push_back({file, "", "", when, std::string(f->meaning)});
    for (const OutColumn& c : f->columns)
      rows.push_back(
          {file, std::string(c.name), std::string(kind_word(c.kind)), when, std::string(c.meaning)});
  }
  return csv_of({"file", "column", "kind", "when", "meaning"}, rows);
}

}  // namespace

std::string TableEntry::title() const {
  return where.empty() ? std::string(name) : fmt::format("{}, {}", name, where);
}

const std::vector<TableEntry>& table_entries() {
  static const std::vector<TableEntry> all = [] {
    std::vector<TableEntry> out;
    for_each_table([&](auto terms) {
      TableEntry table{terms.word.name, terms.word.where, terms.word.meaning, {}};
      terms.each([&]<class Cell>(const Column<Cell>& c) {
        table.columns.push_back({c.name, Cell::word, c.meaning, c.stands == Stands::required, c.also});
      });
      out.push_back(std::move(table));
    });
    return out;
  }();
  return all;
}

std::string full_name(const KeyEntry& key) {
  return key.section.empty() ? std::string(key.name) : fmt::format("{}.{}", key.section, key.name);
}

std::string section_head(const KeyEntry& key) {
  if (key.section.empty()) return "";
  return fmt::format(fmt::runtime(key.repeats ? "[[{}]]" : "[{}]"), key.section);
}

std::string required_word(const KeyEntry& key) {
  return key.required == "always" ? "yes" : key.required.empty() ? "no" : std::string(key.required);
}

std::string standing_of(const KeyEntry& key) {
  if (key.required == "always") return "required";
  if (!key.required.empty()) return fmt::format("required {}", key.required);
  if (key.without.text.empty()) return "";
  return fmt::format(fmt::runtime(key.without.as_typed ? "default {}" : "without it: {}"), key.without.text);
}

std::string_view kind_word(OutKind kind) {
  switch (kind) {
    case OutKind::text:
      return "text";
    case OutKind::number:
      return "whole number";
    case OutKind::decimal:
      return "number";
    case OutKind::length:
      return "length";
    case OutKind::metres:
      break;
  }
  return "length in m";
}

std::string_view when_made(const OutputSpec& file) { return file.when.empty() ? "every run" : file.when; }

Fault unknown_word(std::string_view what, std::string_view word, const std::vector<std::string>& known,
                   std::string_view expected) {
  const auto meant = meant_word(word, known);
  return {fmt::format("{} {}", what, in_quotes(word)),
          expected.empty() ? fmt::format("{}", fmt::join(known, ", ")) : std::string(expected),
          meant ? *meant : nearest_word(word, known).value_or("")};
}

Outcome<std::vector<const KeyEntry*>> keys_named(std::string_view name) {
  if (name.empty()) return pointers(key_entries());
  const std::string wanted = small_letters(without_brackets(name));
  std::vector<const KeyEntry*> out;
  std::vector<std::string> known;
  for (const KeyEntry& k : key_entries()) {
    const std::string section(k.section.empty() ? kTopSection : k.section);
    if (known.empty() || known.back() != section) known.push_back(section);
    if (section == wanted || (wanted.find('.') != std::string::npos && full_name(k) == wanted))
      out.push_back(&k);
  }
  if (out.empty()) return unknown_word("section", name, known);
  return out;
}

Outcome<std::vector<const TableEntry*>> tables_named(std::string_view name) {
  if (name.empty()) return pointers(table_entries());
  const std::string wanted = plain(name);
  std::vector<const TableEntry*> whole, begun;
  std::vector<std::string> known;
  for (const TableEntry& t : table_entries()) {
    if (std::ranges::find(known, t.name) == known.end()) known.emplace_back(t.name);
    if (wanted == plain(t.name) || wanted == plain(t.title())) whole.push_back(&t);
    if (plain(t.name).starts_with(wanted)) begun.push_back(&t);
  }
  if (!whole.empty()) return whole;
  const bool is_one = !begun.empty() && std::ranges::all_of(begun, [&](const TableEntry* t) {
    return t->name == begun.front()->name;
  });
  if (is_one) return begun;
  return unknown_word("table", name, known, "one that deckmark help tables lists");
}

Outcome<std::vector<const OutputSpec*>> files_named(const Manual& manual, std::string_view name) {
  if (name.empty()) return std::vector<const OutputSpec*>(manual.files.begin(), manual.files.end());
  std::vector<std::string> known;
  for (const OutputSpec* f : manual.files) {
    if (f->name == name) return std::vector<const OutputSpec*>{f};
    known.emplace_back(f->name);
  }
  if (const OutputSpec* made = manual.file_of(name)) return std::vector<const OutputSpec*>{made};
  return unknown_word("file", name, known, "one that deckmark help files lists");
}

Outcome<std::string> manual_csv(const Manual& manual, std::string_view topic, std::string_view name) {
  if (topic == "keys") return keys_csv(name);
  if (topic == "tables") return tables_csv(name);
  if (topic == "files") return files_csv(manual, name);
  return Fault{fmt::format("--csv with {}", in_quotes(topic)), "keys, tables or files", "keys"};
}

}  // namespace deckmark
