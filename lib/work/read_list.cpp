#include "work/read_list.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <string>
#include <string_view>
#include <system_error>
#include <utility>
#include <vector>

#include "measure/letters.h"
#include "table/cells.h"
#include "table/reader.h"
#include "work/typed.h"

namespace deckmark {

namespace {

/// A column of the file; none: one that is not a list's.
using FileColumns = std::vector<std::optional<ListColumn>>;

std::optional<Axis> axis_of(ListColumn column) {
  switch (column) {
    case ListColumn::northing:
      return Axis::northing;
    case ListColumn::easting:
      return Axis::easting;
    case ListColumn::elevation:
      return Axis::elevation;
    case ListColumn::x:
      return Axis::x;
    case ListColumn::y:
      return Axis::y;
    default:
      return std::nullopt;
  }
}

/// `northing (m)` taken apart.
struct HeaderWord {
  std::optional<ListColumn> column;
  std::optional<LengthUnit> unit;
};
HeaderWord header_word(std::string_view cell) {
  HeaderWord out;
  const std::size_t open = cell.find('(');
  if (open != std::string_view::npos && cell.ends_with(')')) {
    out.unit = unit_from_word(trimmed(cell.substr(open + 1, cell.size() - open - 2)));
    cell = trimmed(cell.substr(0, open));
  }
  std::string word = small_letters(cell);
  if (word.starts_with("grid_")) word = word.substr(5);
  out.column = list_column_from_word(word);
  return out;
}

/// A plain decimal; nothing where the text is none.
std::optional<ReadValue> plain_value(std::string text, bool decimal_comma) {
  if (decimal_comma) std::replace(text.begin(), text.end(), ',', '.');
  const std::string_view digits = std::string_view(text).substr(text.starts_with('+') ? 1 : 0);
  if (digits.empty() || digits.find_first_not_of("0123456789.-") != std::string_view::npos ||
      digits.rfind('-') + 1 > 1)
    return std::nullopt;
  ReadValue out;
  const auto [end, bad] = std::from_chars(digits.data(), digits.data() + digits.size(), out.value);
  if (bad != std::errc() || end != digits.data() + digits.size() || !std::isfinite(out.value))
    return std::nullopt;
  const std::size_t point = digits.find('.');
  out.decimals = point == std::string_view::npos ? 0 : static_cast<int>(digits.size() - point - 1);
  constexpr int kMostDecimals = 15;
  return out.decimals > kMostDecimals ? std::nullopt : std::optional(out);
}

class ListReader {
 public:
  ListReader(std::shared_ptr<const Source> source, const ListOptions& options, Messages& messages)
      : source_(std::move(source)), options_(options), messages_(messages) {}

  std::optional<ListRead> read() {
    if (source_->text().find_first_not_of(" \t\r\n") == std::string_view::npos)
      return refuse("an empty file", "");
    if (!choose()) {
      (void)plain_rows(source_, options_.separator, messages_);
      if (messages_.has_problems()) return std::nullopt;
      std::vector<std::string> words;
      for (const ListColumn c : options_.columns) words.emplace_back(list_column_word(c));
      const std::size_t cells = first_.empty() ? 0 : first_.front().cells.size();
      return refuse(fmt::format("a first row of {} cell{}", cells, cells == 1 ? "" : "s"),
                    fmt::format("a header line, or the {} columns of [list]: {}", words.size(),
                                fmt::join(words, ", ")));
    }
    if (std::ranges::find(columns_, std::optional(ListColumn::number)) == columns_.end())
      return refuse("no column of numbers", "a list with the column number, which says what its rows are");
    if (std::ranges::count(out_.has, true) == 0)
      return refuse("no column of a place or a height", "a list with northing, easting, elevation, x or y");
    const std::vector<PlainRow> rows = plain_rows(source_, separator_, messages_);
    for (std::size_t i = has_header_ ? 1 : 0; i < rows.size(); ++i) take(rows[i]);
    if (messages_.has_problems()) return std::nullopt;
    const bool any = std::ranges::any_of(out_.rows, [](const ReadRow& r) { return r.number.has_value(); });
    if (!any) {
      messages_.problem(
          Where::in(source_, out_.rows.empty() ? 0 : out_.rows.front().begin), "number",
          Fault{out_.rows.empty() ? std::string("no row")
                                  : in_quotes(out_.rows.front().name) + ", and no row has a number",
                "the numbers of a list, which say what its rows are", ""});
      return std::nullopt;
    }
    return ListRead{std::move(out_), source_};
  }

 private:
  std::optional<ListRead> refuse(std::string found, std::string expected) {
    messages_.problem(
        Where::whole(source_->name()), "file",
        Fault{std::move(found),
              expected.empty() ? std::string("a list as an instrument gives it back") : expected, ""});
    return std::nullopt;
  }

  /// The separator that makes a header of the first line, or as many cells as a list has columns.
  bool choose() {
    std::size_t best = 0;
    for (const char s : {options_.separator, ',', ';', '\t', '|', ' '}) {
      Messages unheard;
      const std::string_view text = source_->text();
      const auto head = Source::from_bytes(source_->name(), text.substr(0, first_lines(text)));
      std::vector<PlainRow> rows = plain_rows(head, s, unheard);
      if (rows.empty()) continue;
      std::size_t words = 0;
      for (const std::string& cell : rows.front().cells) words += header_word(cell).column ? 1U : 0U;
      const bool is_header = words >= 2;
      const std::size_t cells = rows.front().cells.size(), all = options_.columns.size();
      const std::size_t score = is_header                                             ? 2 + words
                                : cells == all                                        ? 2
                                : cells < all && cells >= needed_of(options_.columns) ? 1
                                                                                      : 0;
      if (score > best || first_.empty()) {
        first_ = std::move(rows);
        if (score <= best) continue;
        best = score;
        separator_ = s;
        has_header_ = is_header;
      }
    }
    if (best == 0) return false;
    if (!has_header_) {
      columns_.assign(options_.columns.begin(), options_.columns.end());
    } else {
      for (const std::string& cell : first_.front().cells) {
        const HeaderWord word = header_word(cell);
        columns_.push_back(word.column);
        if (word.column && axis_of(*word.column) && word.unit) out_.unit = word.unit;
      }
    }
    for (const auto& c : columns_)
      if (c && axis_of(*c)) out_.has[static_cast<std::size_t>(*axis_of(*c))] = true;
    return true;
  }
  static std::size_t first_lines(std::string_view text) {
    constexpr std::size_t kEnough = 4000;
    return text.size() <= kEnough ? text.size() : std::min(text.size(), text.find_first_of("\r\n", kEnough));
  }

  void take(const PlainRow& row) {
    const std::size_t needed = needed_of(columns_);
    if (row.cells.size() < needed) {
      messages_.problem(Where::in(source_, row.begins.front()), "row",
                        Fault{fmt::format("{} cell{}", row.cells.size(), row.cells.size() == 1 ? "" : "s"),
                              fmt::format("{}, as the first line has", columns_.size()), ""});
      return;
    }
    ReadRow read;
    read.begin = row.begins.front();
    for (std::size_t f = 0; f < columns_.size() && f < row.cells.size(); ++f) {
      const std::string& cell = row.cells[f];
      if (!columns_[f]) continue;
      if (const auto axis = axis_of(*columns_[f])) {
        if (cell.empty()) continue;
        auto& value = read.at[static_cast<std::size_t>(*axis)];
        value = plain_value(cell, separator_ != ',');
        if (!value)
          messages_.problem(Where::in(source_, row.begins[f]), list_column_word(*columns_[f]),
                            Fault{in_quotes(cell), "a number", ""});
      } else if (*columns_[f] == ListColumn::number) {
        read.number = typed_number(cell);
        read.name = cell;
      }
    }
    out_.rows.push_back(std::move(read));
  }
  /// Cells that a row must have: what an instrument leaves away at the end is no fault where it is a text.
  template <class Columns>
  static std::size_t needed_of(const Columns& columns) {
    std::size_t needed = columns.size();
    const auto is_needed = [](std::optional<ListColumn> column) {
      return column && (axis_of(*column) || *column == ListColumn::number);
    };
    while (needed > 0 && !is_needed(columns[needed - 1])) --needed;
    return needed;
  }

  std::shared_ptr<const Source> source_;
  const ListOptions& options_;
  Messages& messages_;
  ReadList out_;
  FileColumns columns_;
  std::vector<PlainRow> first_;
  char separator_ = ',';
  bool has_header_ = false;
};

}  // namespace

std::optional<ListRead> read_list(const std::filesystem::path& file, const ListOptions& options,
                                  Messages& messages) {
  const auto bytes = read_source(file, file.string());
  if (const auto* bad = std::get_if<Unreadable>(&bytes)) {
    messages.problem(Where::whole(file.string()), "file",
                     unreadable_fault(fmt::format("{}: {}", in_quotes(file.string()), bad->reason), *bad,
                                      "a list as an instrument gives it back"));
    return std::nullopt;
  }
  return ListReader(std::get<0>(bytes), options, messages).read();
}

}  // namespace deckmark
