#include "manual/reference_text.h"

#include <fmt/format.h>

#include <array>

#include "manual/prose.h"
#include "manual/reference.h"
#include "measure/utf8.h"

namespace deckmark {

namespace {

// Columns at which meanings begin: most words fit before them, the others stand in a line of their own.
constexpr std::size_t kKeyColumn = 18, kColumnColumn = 17, kFileColumn = 22;

std::string in_braces(std::string_view text) { return text.empty() ? "" : fmt::format(" ({})", text); }

std::string all_keys(const std::vector<const KeyEntry*>& keys, std::size_t width) {
  std::string out = filled(
      "", "", "Keys of job.toml. deckmark help keys SECTION shows those of a section with lines to paste.",
      width);
  const KeyEntry* last = nullptr;
  for (const KeyEntry* k : keys) {
    if (!last || last->section != k->section)
      out += fmt::format("\n{}\n", k->section.empty() ? "above all sections (top)" : section_head(*k));
    last = k;
    out += defined(k->name, std::string(k->meaning) + in_braces(standing_of(*k)), kKeyColumn, width);
  }
  return out;
}

/// A part of a job file: what each key means, as comments, and an example of it.
std::string keys_to_paste(const std::vector<const KeyEntry*>& keys, std::size_t width) {
  const std::string head = section_head(*keys.front());
  std::string out =
      filled("# ", "# ", "Part of a job.toml: paste the lines that you need. Values are examples.", width);
  if (!head.empty()) out += "\n" + head + "\n";
  for (const KeyEntry* k : keys) {
    const std::array parts{k->kind, standing_of(*k)};
    out += "\n" + filled("# ", "# ", k->meaning, width) + filled("# ", "# ", joined_by("; ", parts), width) +
           key_line(k->name, k->example, width);
  }
  return out;
}

std::string column_list(const TableEntry& table) {
  std::string out;
  for (const ColumnEntry& c : table.columns)
    out += (out.empty() ? "" : ", ") + std::string(c.name) + (c.required ? "*" : "");
  return out;
}

std::string all_tables(const std::vector<const TableEntry*>& tables, std::size_t width) {
  std::string out = filled("", "",
                           "Tables that are read, with their columns. A star: the column has to stand there. "
                           "deckmark help tables TABLE says what each column holds.",
                           width);
  for (const TableEntry* t : tables) {
    out += "\n" + filled("", "  ", fmt::format("{}: {}", t->title(), t->meaning), width);
    out += filled("  ", "  ", column_list(*t), width);
  }
  out +=
      "\n" + filled("", "",
                    "In place of the path of its table a key may say more in braces, such as ties = { file "
                    "= \"ties.csv\" }, with",
                    width);
  for (const KeyEntry& k : table_key_entries())
    out += defined(k.name, fmt::format("{}: {}", k.meaning, k.example), kColumnColumn, width);
  return out;
}

std::string one_table(const TableEntry& table, std::size_t width) {
  std::string out = filled("", "  ", fmt::format("{}: {}", table.title(), table.meaning), width) + "\n";
  for (const ColumnEntry& c : table.columns) {
    const std::array parts{fmt::format("{}: {}", c.kind, c.meaning),
                           c.also.empty() ? "" : fmt::format("read under {} too", c.also)};
    out +=
        defined(std::string(c.name) + (c.required ? "*" : ""), joined_by("; ", parts), kColumnColumn, width);
  }
  return out + "\n" + filled("", "", "A star: the column has to stand there.", width);
}

std::string all_files(const std::vector<const OutputSpec*>& files, std::size_t width) {
  std::string out = filled("", "",
                           "Files that run writes. NAME stands for what varies. deckmark help files FILE "
                           "says what each column holds.",
                           width) +
                    "\n";
  for (const OutputSpec* f : files)
    out += defined(f->name, fmt::format("{}; {}", f->meaning, when_made(*f)), kFileColumn, width);
  return out;
}

std::string one_file(const OutputSpec& file, std::size_t width) {
  std::string out = filled("", "  ", fmt::format("{}: {}", file.name, file.meaning), width);
  out += filled("made: ", "  ", when_made(file), width);
  if (file.columns.empty() && file.name.ends_with(".csv"))
    out += filled("columns: ", "  ", "as [list] columns says, in the layout of [list]", width);
  if (file.columns.empty()) return out;
  out += '\n';
  for (const OutColumn& c : file.columns)
    out += defined(c.name, fmt::format("{}: {}", kind_word(c.kind), c.meaning), kColumnColumn, width);
  return out;
}

}  // namespace

std::string key_line(std::string_view name, std::string_view example, std::size_t width) {
  const std::string line = fmt::format("{} = {}", name, example);
  if (character_count(line) <= width || !example.starts_with('[')) return line + "\n";
  return fmt::format("{} = [\n{}]\n", name, filled("  ", "  ", example.substr(1, example.size() - 2), width));
}

Outcome<std::string> keys_text(std::string_view name, std::size_t width) {
  const auto keys = keys_named(name);
  if (!keys) return keys.fault();
  return name.empty() ? all_keys(*keys, width) : keys_to_paste(*keys, width);
}

Outcome<std::string> tables_text(std::string_view name, std::size_t width) {
  const auto tables = tables_named(name);
  if (!tables) return tables.fault();
  if (name.empty()) return all_tables(*tables, width);
  std::string out;
  for (const TableEntry* t : *tables) out += (out.empty() ? "" : "\n") + one_table(*t, width);
  return out;
}

Outcome<std::string> files_text(const Manual& manual, std::string_view name, std::size_t width) {
  const auto files = files_named(manual, name);
  if (!files) return files.fault();
  return name.empty() ? all_files(*files, width) : one_file(*files->front(), width);
}

}  // namespace deckmark
