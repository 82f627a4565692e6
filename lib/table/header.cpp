#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

#include "measure/letters.h"
#include "table/meant_word.h"
#include "table/scan.h"

namespace deckmark {

bool equals_ignoring_case(std::string_view a, std::string_view b) {
  return a.size() == b.size() && small_letters(a) == small_letters(b);
}

namespace {

/// `northing (m)` taken apart.
struct HeaderCell {
  std::string name, unit;
  std::uint32_t offset = 0;
};

HeaderCell header_cell(std::string_view cell, std::uint32_t offset) {
  HeaderCell out;
  out.offset = offset;
  const std::size_t open = cell.find('(');
  if (open != std::string_view::npos && cell.ends_with(')')) {
    out.unit = std::string(trimmed(cell.substr(open + 1, cell.size() - open - 2)));
    cell = trimmed(cell.substr(0, open));
  }
  out.name = small_letters(cell);
  return out;
}

bool is_number(std::string_view text) {
  return !text.empty() && text.find_first_of("0123456789") != std::string_view::npos &&
         text.find_first_not_of("0123456789+-.,eE'\"/ ") == std::string_view::npos;
}

constexpr char kSeparators[] = {',', ';', '\t'};

std::string separator_word(char c) { return c == ',' ? "commas" : c == ';' ? "semicolons" : "tabs"; }

}  // namespace

/// Reads the header of one table.
class HeaderReader {
 public:
  HeaderReader(std::shared_ptr<const Source> source, TableSpec spec, Messages& messages)
      : messages_(messages) {
    table_.source_ = std::move(source);
    table_.spec_ = std::move(spec);
  }

  std::optional<Table> read() {
    const std::string_view text = table_.source_->text();
    if (text.empty()) return refuse_file(Fault{"an empty file", "a header line and rows", ""});
    if (text.starts_with("PK\x03\x04") || text.starts_with("\xD0\xCF\x11\xE0"))
      return refuse_file(Fault{"a spreadsheet's own file", "delimited text", "saving the sheet as CSV"});
    if (!find_line())
      return refuse_file(Fault{"no header: only blank or comment lines", header_wanted(), ""});
    const RecordScanner lines(text, ',');
    const std::string_view line = text.substr(line_, lines.line_after(line_) - line_);
    if (line[0] == '\0' || (line.size() > 1 && line[1] == '\0'))
      return refuse_file(Fault{"NUL bytes, as in UTF-16 text without a byte-order mark", "UTF-8 text",
                               "saving the file as UTF-8"});
    if (is_spreadsheet_error(line))
      return refuse_header(
          Fault{in_quotes(line.substr(0, line.find_first_of(",;\t\r\n"))) + ", a spreadsheet error",
                header_wanted(), ""});
    choose_separator();
    const Scanned scanned = scan(table_.separator_);
    if (scanned == Scanned::open_quote || scanned == Scanned::text_after_quote) {
      messages_.problem(
          Where::in(table_.source_, cells_.back().offset), "header",
          Fault{"a quoted cell that is not closed properly",
                "a closing quote before the next separator or line end", "leaving the quotes away"});
      return std::nullopt;
    }
    if (table_.spec_.fixed_columns.empty()) {
      if (!header_row()) return std::nullopt;
    } else if (!fixed_row()) {
      return std::nullopt;
    }
    if (!columns()) return std::nullopt;
    return std::move(table_);
  }

 private:
  std::optional<Table> refuse_file(const Fault& fault) {
    messages_.problem(table_.whole(), "file", fault);
    return std::nullopt;
  }
  std::optional<Table> refuse_header(const Fault& fault) {
    messages_.problem(Where::in(table_.source_, line_), "header", fault);
    return std::nullopt;
  }

  std::string header_wanted() const {
    std::vector<std::string> names;
    for (const ColumnSpec& c : table_.spec_.columns)
      if (c.required) names.push_back(c.name);
    return fmt::format("a header line that names {}", fmt::join(names, ", "));
  }

  /// Finds the first line with content; takes a spreadsheet's `sep=;` line on the way.
  bool find_line() {
    const std::string_view text = table_.source_->text();
    const RecordScanner scanner(text, ',');
    std::uint32_t at = 0;
    while (at < text.size()) {
      const std::uint32_t end = scanner.line_after(at);
      std::string_view line = text.substr(at, end - at);
      while (!line.empty() && (line.back() == '\n' || line.back() == '\r')) line.remove_suffix(1);
      if (line.size() == 5 && small_letters(line.substr(0, 4)) == "sep=" &&
          std::ranges::count(kSeparators, line[4]) == 1) {
        stated_separator_ = line[4];
        first_ = end;
        messages_.notice("a separator hint line", Where::in(table_.source_, at), "header",
                         fmt::format("{} is a spreadsheet's separator hint; cells are separated by {}",
                                     in_quotes(line), separator_word(line[4])));
      } else if ((!line.starts_with('#') ||
                  (table_.spec_.fixed_columns.empty() && is_spreadsheet_error(line))) &&
                 !trimmed(line).empty() && line.find_first_not_of(",; \t") != std::string_view::npos) {
        line_ = at;
        return true;
      }
      at = end;
    }
    return false;
  }

  Scanned scan(char separator) {
    const RecordScanner scanner(table_.source_->text(), separator);
    RecordScanner::bind(row_, table_.source_->text().data(), nullptr);
    after_ = line_;
    const Scanned scanned = scanner.next(after_, row_);
    cells_.clear();
    for (std::size_t f = 0; f < RecordScanner::count(row_); ++f)
      cells_.push_back(header_cell(RecordScanner::cell(row_, f), RecordScanner::cell_begin(row_, f)));
    return scanned;
  }

  bool is_known(const std::string& name) const {
    return std::ranges::any_of(table_.spec_.columns, [&](const ColumnSpec& c) {
      return c.name == name || (!c.also.empty() && c.also == name);
    });
  }
  /// The column that a name of the header means; a second name only where the header lacks the first.
  std::vector<ColumnSpec>::const_iterator spec_of(const std::string& name) const {
    const auto& columns = table_.spec_.columns;
    const auto first = std::ranges::find(columns, name, &ColumnSpec::name);
    if (first != columns.end()) return first;
    const auto also = std::ranges::find(columns, name, &ColumnSpec::also);
    if (also == columns.end() || also->also.empty() ||
        std::ranges::count(cells_, also->name, &HeaderCell::name) > 0)
      return columns.end();
    return also;
  }

  /// The separator that makes most known names of the header; without a header, that gives the declared
  /// columns.
  void choose_separator() {
    if (stated_separator_) {
      table_.separator_ = *stated_separator_;
      return;
    }
    std::pair<std::size_t, std::size_t> best{0, 0};
    for (const char s : kSeparators) {
      scan(s);
      std::pair<std::size_t, std::size_t> score{0, cells_.size()};
      if (table_.spec_.fixed_columns.empty())
        score.first = static_cast<std::size_t>(
            std::ranges::count_if(cells_, [&](const HeaderCell& c) { return is_known(c.name); }));
      else
        score.first = cells_.size() == table_.spec_.fixed_columns.size() ? 1 : 0;
      if (score > best) {
        best = score;
        table_.separator_ = s;
      }
    }
  }

  bool header_row() {
    const std::size_t known = static_cast<std::size_t>(
        std::ranges::count_if(cells_, [&](const HeaderCell& c) { return is_known(c.name); }));
    const bool numbers = std::ranges::any_of(cells_, [](const HeaderCell& c) { return is_number(c.name); });
    if (known < 2 && split_by_blanks() >= 2) {
      refuse_header(Fault{"columns lined up with blanks",
                          "cells separated by commas, semicolons or tabs (blanks are no separator)", ""});
      return false;
    }
    if (known == 0 && numbers) {
      refuse_header(Fault{"values where the header should be", header_wanted(),
                          "a first line with the columns' names"});
      return false;
    }
    table_.body_ = after_;
    return true;
  }

  std::size_t split_by_blanks() const {
    const std::string_view text = table_.source_->text();
    const RecordScanner scanner(text, ',');
    const std::string line = small_letters(text.substr(line_, scanner.line_after(line_) - line_));
    std::size_t known = 0;
    for (std::size_t i = 0; i < line.size();) {
      const std::size_t from = line.find_first_not_of(" \t\r\n", i);
      if (from == std::string::npos) break;
      const std::size_t to = std::min(line.find_first_of(" \t\r\n", from), line.size());
      if (is_known(line.substr(from, to - from))) ++known;
      i = to;
    }
    return known;
  }

  /// A file without a header: the job names its columns; a notice shows how the first row was read.
  bool fixed_row() {
    std::vector<std::string> pairs;
    for (std::size_t f = 0; f < cells_.size() && f < table_.spec_.fixed_columns.size(); ++f)
      pairs.push_back(
          fmt::format("{} = {}", table_.spec_.fixed_columns[f], in_quotes(RecordScanner::cell(row_, f))));
    messages_.notice("a file without a header", Where::in(table_.source_, line_), "row",
                     fmt::format("no header, as the job says; first row read as {}", fmt::join(pairs, ", ")));
    cells_.clear();
    for (const std::string& name : table_.spec_.fixed_columns) cells_.push_back(header_cell(name, line_));
    table_.body_ = first_;  // what was skipped on the way is looked at with the rows
    return true;
  }

  bool columns() {
    Table& t = table_;
    t.fields_ = cells_.size();
    while (t.fields_ > 1 && cells_[t.fields_ - 1].name.empty()) --t.fields_;  // a trailing separator
    cells_.resize(t.fields_);
    const std::size_t n = t.spec_.columns.size();
    t.field_of_.assign(n, Row::kNoField);
    t.unit_text_.assign(n, "");
    t.unit_of_.assign(n, std::nullopt);
    t.header_at_.assign(n, line_);
    bool fine = true;
    for (std::size_t f = 0; f < t.fields_; ++f) fine = column(static_cast<std::uint32_t>(f)) && fine;
    return missing_columns() && fine;
  }

  bool column(std::uint32_t f) {
    Table& t = table_;
    const HeaderCell& cell = cells_[f];
    t.names_.push_back(cell.name);
    if (cell.name.empty()) {
      t.unnamed_.push_back(f);
      return true;
    }
    const auto where = Where::in(t.source_, cell.offset);
    if (const auto bad = bad_text(cell.name)) {
      messages_.problem(
          where, "header",
          Fault{*bad == "U+0000" ? "a NUL byte (U+0000)" : "byte " + *bad + ", which is not valid UTF-8",
                "UTF-8 text", "saving the file as UTF-8"});
      return false;
    }
    if (std::ranges::count(t.names_, cell.name) > 1) {
      messages_.problem(where, "header", Fault{"column " + cell.name + " twice", "each column once", ""});
      return false;
    }
    const auto spec = spec_of(cell.name);
    if (spec == t.spec_.columns.end()) {
      unknown_.push_back(f);
      return true;
    }
    const auto c = static_cast<std::size_t>(spec - t.spec_.columns.begin());
    t.field_of_[c] = f;
    t.header_at_[c] = cell.offset;
    t.unit_text_[c] = cell.unit;
    if (cell.unit.empty() || spec->kind != ColumnKind::length) return true;
    t.unit_of_[c] = unit_from_word(cell.unit);
    if (t.unit_of_[c]) return true;
    messages_.problem(where, cell.name,
                      Fault{"unit " + in_quotes(cell.unit), "m, mm, cm, ft, us-ft, in or ft-in",
                            likely_unit_word(cell.unit).empty()
                                ? std::string()
                                : fmt::format("{} ({})", cell.name, likely_unit_word(cell.unit))});
    return false;
  }

  /// `x [m]`, `x m`, `x_m` and `x/m` written as they are read, `x (m)`; nothing where that gives no known
  /// column.
  std::optional<std::string> meant(const HeaderCell& cell) const {
    const std::size_t at = cell.name.find_first_of(" _/[{");
    if (at == std::string::npos || at == 0 || !cell.unit.empty()) return std::nullopt;
    const std::string name(trimmed(cell.name.substr(0, at)));
    std::string_view unit = trimmed(std::string_view(cell.name).substr(at + 1));
    while (!unit.empty() && std::string_view("[]{}_/.").find(unit.back()) != std::string_view::npos)
      unit.remove_suffix(1);
    while (!unit.empty() && std::string_view("[]{}_/").find(unit.front()) != std::string_view::npos)
      unit.remove_prefix(1);
    const auto spec = std::ranges::find(table_.spec_.columns, name, &ColumnSpec::name);
    if (spec == table_.spec_.columns.end() || spec->kind != ColumnKind::length) return std::nullopt;
    const auto known = unit_from_word(unit);
    if (!known) return std::nullopt;
    return fmt::format("{} ({})", name, unit_word(*known));
  }

  bool missing_columns() {
    Table& t = table_;
    std::vector<std::string> missing, unknown_names;
    for (std::size_t c = 0; c < t.spec_.columns.size(); ++c)
      if (t.spec_.columns[c].required && t.field_of_[c] == Row::kNoField)
        missing.push_back(t.spec_.columns[c].name);
    for (const std::uint32_t f : unknown_) unknown_names.push_back(cells_[f].name);
    if (!missing.empty()) {
      std::vector<std::string> found, hints;
      for (const HeaderCell& c : cells_) found.push_back(c.name);
      for (const std::uint32_t f : unknown_)
        if (const auto as_read = meant(cells_[f]))
          hints.push_back(fmt::format("{} in place of {}", *as_read, cells_[f].name));
      if (hints.empty())
        for (const std::string& m : missing)
          if (const auto near = meant_word(m, unknown_names))
            hints.push_back(fmt::format("{} in place of {}", m, *near));
      refuse_header(Fault{fmt::format("columns {}", in_quotes(fmt::format("{}", fmt::join(found, ", ")))),
                          fmt::format("{} column{} {}", t.spec_.what, missing.size() == 1 ? "" : "s",
                                      fmt::join(missing, " and ")),
                          fmt::format("{}", fmt::join(hints, ", "))});
      return false;
    }
    for (const std::uint32_t f : unknown_) {
      if (std::ranges::count(t.spec_.ignored, cells_[f].name) > 0) continue;
      std::vector<std::string> known;
      for (const ColumnSpec& c : t.spec_.columns) known.push_back(c.name);
      auto near = meant(cells_[f]);
      if (!near) near = nearest_word(cells_[f].name, known);
      messages_.notice("an unknown column", Where::in(t.source_, cells_[f].offset), "header",
                       fmt::format("column {} is not known and not used{}", in_quotes(cells_[f].name),
                                   near ? fmt::format("; {} is", *near) : ""));
    }
    return true;
  }

  Messages& messages_;
  Table table_;
  Row row_;
  std::uint32_t first_ = 0, line_ = 0, after_ = 0;
  std::optional<char> stated_separator_;
  std::vector<HeaderCell> cells_;
  std::vector<std::uint32_t> unknown_;
};

std::optional<Table> Table::open(std::shared_ptr<const Source> source, TableSpec spec, Messages& messages) {
  return HeaderReader(std::move(source), std::move(spec), messages).read();
}

}  // namespace deckmark
