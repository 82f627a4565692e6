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
  std::string called;  ///< the program's word, where the job file renames the column; else the name
};

HeaderCell header_cell(std::string_view cell, std::uint32_t offset) {
  HeaderCell out;
  out.offset = offset;
  const std::size_t open = cell.find('(');
  if (open != std::string_view::npos && cell.ends_with(')')) {
    out.unit = std::string(trimmed(cell.substr(open + 1, cell.size() - open - 2)));
    cell = trimmed(cell.substr(0, open));
  }
  out.name = out.called = small_letters(cell);
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
      if (!header_row() || !rename()) return std::nullopt;
    } else if (!fixed_row()) {
      return std::nullopt;
    }
    if (!columns()) return std::nullopt;
    if (!table_.unnamed_.empty()) table_.look_at_unnamed(messages_);
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

  bool is_column(const std::string& name) const {
    return std::ranges::any_of(table_.spec_.columns, [&](const ColumnSpec& c) {
      return c.name == name || (!c.also.empty() && c.also == name);
    });
  }
  bool is_known(const std::string& name) const {
    return is_column(name) || std::ranges::any_of(table_.spec_.line.renames, [&](const StatedRename& r) {
             return header_cell(r.rename.word, 0).name == name;
           });
  }
  /// The column that a name of the header means; a second name only where the header lacks the first.
  std::vector<ColumnSpec>::const_iterator spec_of(const std::string& name) const {
    const auto& columns = table_.spec_.columns;
    const auto first = std::ranges::find(columns, name, &ColumnSpec::name);
    if (first != columns.end()) return first;
    const auto also = std::ranges::find(columns, name, &ColumnSpec::also);
    if (also == columns.end() || also->also.empty() ||
        std::ranges::count(cells_, also->name, &HeaderCell::called) > 0)
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
      refuse_header(Fault{"values where the header should be", header_wanted() + columns_wanted(),
                          "a first line with the columns' names"});
      return false;
    }
    table_.body_ = after_;
    return true;
  }

  /// The other way to have a file without a header: its columns in the job file. The line is given as far as
  /// the number of cells and what they hold leave no more than two orders.
  std::string columns_wanted() const {
    const TableLine& line = table_.spec_.line;
    if (!line.stands() || !line.renames.empty()) return "";
    std::vector<std::string> lines;
    for (const std::vector<std::string>& order : orders()) lines.push_back(line.with_columns(order));
    if (lines.empty())
      return fmt::format("; or the key columns in the job file, with the names of its {} columns in order",
                         cells_.size());
    return fmt::format("; or in the job file {}{}", fmt::join(lines, " or "),
                       lines.size() > 1 ? ", as the columns stand" : "");
  }

  /// The orders of the required columns that the first row can be; none where there are more than two.
  std::vector<std::vector<std::string>> orders() const {
    std::vector<std::vector<std::size_t>> sets(1);
    for (std::size_t c = 0; c < table_.spec_.columns.size(); ++c)
      if (table_.spec_.columns[c].required) sets[0].push_back(c);
    if (!table_.spec_.ways.empty()) {
      const std::vector<std::size_t> alone = sets[0];
      sets.assign(table_.spec_.ways.size(), alone);
      for (std::size_t w = 0; w < sets.size(); ++w)
        for (const std::size_t c : {table_.spec_.ways[w].first, table_.spec_.ways[w].second})
          sets[w].push_back(c);
    }
    std::vector<std::vector<std::string>> out;
    for (std::vector<std::size_t> set : sets) {
      if (set.size() != cells_.size() || set.size() > kMostOrdered) continue;
      std::ranges::sort(set);
      do {
        if (!fits(set)) continue;
        out.emplace_back();
        for (const std::size_t c : set) out.back().push_back(table_.spec_.columns[c].name);
        if (out.size() > 2) return {};
      } while (std::next_permutation(set.begin(), set.end()));
    }
    return out;
  }
  static constexpr std::size_t kMostOrdered = 6;

  /// A length, an angle or a count is no word; a name or a text may be anything.
  bool fits(const std::vector<std::size_t>& order) const {
    for (std::size_t f = 0; f < order.size(); ++f) {
      const ColumnKind kind = table_.spec_.columns[order[f]].kind;
      if (kind != ColumnKind::name && kind != ColumnKind::text && !is_number(cells_[f].name)) return false;
    }
    return true;
  }

  /// Gives the file's columns the words that the job file has for them.
  bool rename() {
    bool fine = true;
    const auto& renames = table_.spec_.line.renames;
    for (auto at = renames.begin(); at != renames.end(); ++at) {
      const std::string word = header_cell(at->rename.word, 0).name,
                        column = small_letters(at->rename.column);
      const auto refuse = [&](std::string found, std::string expected,
                              const std::optional<std::string>& near) {
        messages_.problem(
            at->where, rename_field(),
            Fault{std::move(found), std::move(expected), near ? fmt::format("\"{}\"", *near) : ""});
        fine = false;
      };
      const auto spec = spec_of(column);
      const auto cell = std::ranges::find(cells_, word, &HeaderCell::name);
      const auto earlier = std::find_if(renames.begin(), at, [&](const StatedRename& r) {
        return header_cell(r.rename.word, 0).name == word || small_letters(r.rename.column) == column;
      });
      if (spec == table_.spec_.columns.end()) {
        refuse(fmt::format("{} for the column {}", in_quotes(at->rename.column), in_quotes(at->rename.word)),
               fmt::format("a column of {}: {}", table_.spec_.what, fmt::join(known_columns(), ", ")),
               meant_word(column, known_columns()));
      } else if (cell == cells_.end() || word.empty()) {
        refuse(fmt::format("{}, which the header of {} has not", in_quotes(at->rename.word),
                           in_quotes(table_.spec_.line.file)),
               fmt::format("a word of that header: {}", fmt::join(header_words(), ", ")),
               meant_word(word, header_words()));
      } else if (earlier != at) {
        refuse(fmt::format("{} for {} beside {} for {}", in_quotes(at->rename.column),
                           in_quotes(at->rename.word), in_quotes(earlier->rename.column),
                           in_quotes(earlier->rename.word)),
               "one column for one word", std::nullopt);
      } else {
        cell->called = spec->name;
      }
    }
    return fine && no_two_for_one();
  }

  /// A column that is renamed must not stand there by its own name too.
  bool no_two_for_one() {
    bool fine = true;
    for (const StatedRename& r : table_.spec_.line.renames) {
      const std::string word = header_cell(r.rename.word, 0).name;
      const auto cell = std::ranges::find(cells_, word, &HeaderCell::name);
      const auto other = std::ranges::find_if(
          cells_, [&](const HeaderCell& c) { return c.called == cell->called && c.name != word; });
      if (other == cells_.end()) continue;
      messages_.problem(r.where, rename_field(),
                        Fault{fmt::format("{} for {}, beside a column {} in the file",
                                          in_quotes(cell->called), in_quotes(r.rename.word), other->name),
                              "one of them", ""});
      fine = false;
    }
    return fine;
  }

  std::string rename_field() const {
    return fmt::format("{}.{}.rename", table_.spec_.line.section, table_.spec_.line.key);
  }
  std::vector<std::string> known_columns() const {
    std::vector<std::string> names;
    for (const ColumnSpec& c : table_.spec_.columns) names.push_back(c.name);
    return names;
  }
  std::vector<std::string> header_words() const {
    std::vector<std::string> words;
    for (const HeaderCell& c : cells_)
      if (!c.name.empty()) words.push_back(c.name);
    return words;
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
    if (looks_like_header()) {
      refuse_header(Fault{fmt::format("a header, {}, where the job file states columns",
                                      in_quotes(fmt::format("{}", fmt::join(header_words(), ", ")))),
                          "columns for a file without a header; for this one its own words, or renames",
                          renamed_instead()});
      return false;
    }
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

  /// No value stands in the first row, and two of its words or all are those of columns.
  bool looks_like_header() const {
    std::size_t words = 0;
    for (const HeaderCell& c : cells_) {
      const bool is_word = is_column(c.name) || meant(c) || column_found_as(c.name);
      if (!is_word && c.name.find_first_of("0123456789") != std::string::npos) return false;
      if (is_word) ++words;
    }
    return words >= std::min<std::size_t>(2, cells_.size());
  }
  const ColumnSpec* column_found_as(const std::string& word) const {
    const auto& columns = table_.spec_.columns;
    const auto at = std::ranges::find_if(columns, [&](const ColumnSpec& c) { return is_found_as(c, word); });
    return at == columns.end() ? nullptr : &*at;
  }

  /// The line that says by renames what `columns` says of a file that has a header; empty where the two
  /// contradict one another, or the line would lose a unit.
  std::string renamed_instead() const {
    const TableLine& line = table_.spec_.line;
    const auto& fixed = table_.spec_.fixed_columns;
    if (!line.stands() || fixed.size() != cells_.size()) return "";
    std::vector<Rename> renames;
    for (std::size_t f = 0; f < fixed.size(); ++f) {
      const HeaderCell stated = header_cell(fixed[f], 0);
      const HeaderCell& own = cells_[f];
      if (!is_column(stated.name)) {
        if (is_column(own.name)) return "";
        continue;
      }
      if (!stated.unit.empty() && stated.unit != own.unit) return "";
      if (own.name == stated.name) continue;
      const ColumnSpec* other = column_found_as(own.name);
      const bool is_other = other && !is_found_as(*spec_of(stated.name), own.name);
      if (own.name.empty() || is_column(own.name) || is_other || ends_in_a_unit(own.name)) return "";
      renames.push_back({own.name, stated.name});
    }
    return line.with(renames);
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
    t.renamed_.assign(n, nullptr);
    bool fine = true;
    for (std::size_t f = 0; f < t.fields_; ++f) fine = column(static_cast<std::uint32_t>(f)) && fine;
    return missing_columns() && fine;
  }

  bool column(std::uint32_t f) {
    Table& t = table_;
    const HeaderCell& cell = cells_[f];
    t.names_.push_back(cell.name);
    t.called_.push_back(cell.called);
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
    const auto spec = spec_of(cell.called);
    if (spec == t.spec_.columns.end()) {
      unknown_.push_back(f);
      return true;
    }
    const auto c = static_cast<std::size_t>(spec - t.spec_.columns.begin());
    if (cell.called != cell.name)
      t.renamed_[c] = std::make_shared<const RenamedColumn>(RenamedColumn{spec->name, cell.name});
    t.field_of_[c] = f;
    t.header_at_[c] = cell.offset;
    t.unit_text_[c] = cell.unit;
    if (cell.unit.empty() || spec->kind != ColumnKind::length) return true;
    t.unit_of_[c] = unit_from_word(cell.unit);
    if (t.unit_of_[c]) return true;
    messages_.problem(t.header_where(c), cell.called,
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

  bool is_passed_over(const std::string& word) const {
    return std::ranges::count(table_.spec_.ignored, word) > 0;
  }

  /// What the unknown words could be renames of.
  void find_offer() {
    std::vector<std::string> words;
    for (const std::uint32_t f : unknown_)
      if (!is_passed_over(cells_[f].name)) words.push_back(cells_[f].name);
    table_.offer_ = offer_of(table_.spec_, words, [this](std::size_t c) { return table_.has_column(c); });
  }

  bool missing_columns() {
    Table& t = table_;
    find_offer();
    std::vector<std::string> missing;
    for (std::size_t c = 0; c < t.spec_.columns.size(); ++c)
      if (t.spec_.columns[c].required && t.field_of_[c] == Row::kNoField)
        missing.push_back(t.spec_.columns[c].name);
    if (!missing.empty()) {
      refuse_missing(missing);
      return false;
    }
    doubt_offered();
    for (const std::uint32_t f : unknown_) {
      if (is_passed_over(cells_[f].name) || is_offered(cells_[f].name)) continue;
      // Where the table lacks all that it can be read by, the line that offers them is told with that.
      if (!table_.spec_.one_of.empty() && is_in_offer(cells_[f].name)) continue;
      auto near = meant(cells_[f]);
      if (!near) near = nearest_word(cells_[f].name, known_columns());
      messages_.notice("an unknown column", Where::in(t.source_, cells_[f].offset), "header",
                       fmt::format("column {} is not known and not used{}", in_quotes(cells_[f].name),
                                   near ? fmt::format("; {} is", *near) : ""));
    }
    return true;
  }

  void refuse_missing(const std::vector<std::string>& missing) {
    const Offer& offer = table_.offer_;
    const std::string line = table_.offered_line();
    const auto [place, place_offered] = missing_choice();
    const bool whole = !line.empty() && place_offered &&
                       std::ranges::all_of(missing, [&](const auto& m) { return offer.has(m); });
    std::string others;
    if (whole && !offer.others.empty()) others = fmt::format(" ({})", fmt::join(offer.others, ", "));
    refuse_header(
        Fault{fmt::format("columns {}", in_quotes(fmt::format("{}", fmt::join(table_.names_, ", ")))),
              fmt::format("{} column{} {}{}{}", table_.spec_.what, missing.size() == 1 ? "" : "s",
                          fmt::join(missing, " and "), place, others),
              whole ? line : hints(missing)});
  }

  /// What lacks beside required columns, where a table has to have one or another: `; and x and y`, and
  /// whether what is offered gives it.
  struct MissingChoice {
    std::string words;
    bool offered = true;
  };
  MissingChoice missing_choice() const {
    const auto& columns = table_.spec_.columns;
    const auto begins = [&](std::size_t c) {  // itself, or its parts: x_ft, x_in
      for (std::size_t k = 0; k < columns.size(); ++k)
        if (table_.has_column(k) && (k == c || columns[k].name.starts_with(columns[c].name + "_")))
          return true;
      return false;
    };
    const auto can_be = [&](std::size_t c) {
      return table_.has_column(c) || table_.offer_.has(columns[c].name);
    };
    std::vector<std::string> words;
    bool stands = false, offered = false;
    for (const auto& [first, second] : table_.spec_.ways) {
      stands = stands || begins(first) || begins(second);
      offered = offered || (can_be(first) && can_be(second));
      words.push_back(fmt::format("{} and {}", columns[first].name, columns[second].name));
    }
    for (const std::size_t c : table_.spec_.one_of) {
      stands = stands || begins(c);
      offered = offered || can_be(c);
      words.push_back(columns[c].name);
    }
    if (words.empty() || stands) return {};
    return {fmt::format("; and {}", fmt::join(words, ", or ")), offered};
  }

  /// `northing (m) in place of northing [m]`: what to write in the file.
  std::string hints(const std::vector<std::string>& missing) const {
    std::vector<std::string> out, unknown_names;
    for (const std::uint32_t f : unknown_) {
      if (!ends_in_a_unit(cells_[f].name)) unknown_names.push_back(cells_[f].name);
      if (const auto as_read = meant(cells_[f]))
        out.push_back(fmt::format("{} in place of {}", *as_read, cells_[f].name));
    }
    if (out.empty())
      for (const std::string& m : missing)
        if (const auto near = meant_word(m, unknown_names))
          out.push_back(fmt::format("{} in place of {}", m, *near));
    return fmt::format("{}", fmt::join(out, ", "));
  }

  bool is_in_offer(const std::string& word) const {
    return std::ranges::count(table_.offer_.renames, word, &Rename::word) > 0;
  }
  bool is_offered(const std::string& word) const { return offers_optional() && is_in_offer(word); }
  /// What is offered is all a person might add; where a place is missing, the reader tells that.
  bool offers_optional() const {
    const auto stands = [this](const auto& way) {
      return table_.has_column(way.first) && table_.has_column(way.second);
    };
    const auto& one_of = table_.spec_.one_of;
    return !table_.offered_line().empty() &&
           (table_.spec_.ways.empty() || std::ranges::any_of(table_.spec_.ways, stands)) &&
           (one_of.empty() ||
            std::ranges::any_of(one_of, [this](std::size_t c) { return table_.has_column(c); }));
  }

  /// Unknown words that look like columns which the file lacks.
  void doubt_offered() {
    if (!offers_optional()) return;
    std::vector<std::string> alike;
    for (const Rename& r : table_.offer_.renames)
      alike.push_back(fmt::format("{} looks like {}", in_quotes(r.word), r.column));
    const auto cell = std::ranges::find(cells_, table_.offer_.renames[0].word, &HeaderCell::name);
    std::string others;
    if (!table_.offer_.others.empty()) others = fmt::format(" ({})", fmt::join(table_.offer_.others, ", "));
    messages_.doubt("a column that looks like another", Where::in(table_.source_, cell->offset), "header",
                    fmt::format("column {}{} and is not used; to use it: {}", fmt::join(alike, ", column "),
                                others, table_.offered_line()));
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
