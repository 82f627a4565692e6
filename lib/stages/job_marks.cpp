#include "stages/job_marks.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "stages/column_of.h"
#include "stages/shared_faults.h"

namespace deckmark {

namespace {

/// The table and row that state a mark, and whether that is the drawing's own row of it.
struct MarkRow {
  const Table* table;
  std::uint32_t begin;
  bool own;
};

MarkRow row_of(const JobMarks& marks, std::size_t mark) {
  if (mark < marks.drawn) return {marks.points_table.get(), marks->begins[mark], true};
  const std::uint32_t from = marks.from_run[mark - marks.drawn];
  if (!(from & kOfHanger)) return {marks.runs_table.table.get(), marks.runs_table.begins[from], false};
  MarkRow row = row_of(marks, from & ~kOfHanger);
  row.own = false;
  return row;
}

/// A run's row has a kind too, but that of the run.
std::size_t column_of(const MarkRow& row, MarkCell cell) {
  switch (cell) {
    case MarkCell::point:
      return 0;
    case MarkCell::kind:
      return row.own ? column_of(*row.table, "kind") : 0;
    case MarkCell::height:
      return column_of(*row.table, "height");
    case MarkCell::was:
      return row.own ? column_of(*row.table, "was") : 0;
  }
  return 0;
}

}  // namespace

Where JobMarks::where(std::size_t mark, MarkCell cell) const {
  const MarkRow row = row_of(*this, mark);
  return row.table->where(row.begin, column_of(row, cell));
}

std::string_view JobMarks::field(std::size_t mark, MarkCell cell) const {
  const MarkRow row = row_of(*this, mark);
  return row.table->spec().columns[column_of(row, cell)].name;
}

JobMarks drawn_marks(MarkTable marks, std::shared_ptr<const Table> points_table) {
  return drawn_marks(std::make_shared<const MarkTable>(std::move(marks)), nullptr, std::move(points_table));
}

JobMarks drawn_marks(std::shared_ptr<const MarkTable> marks, std::shared_ptr<const NameIndex> index,
                     std::shared_ptr<const Table> points_table) {
  JobMarks out;
  out.table = std::move(marks);
  out.index = index ? std::move(index) : std::make_shared<const NameIndex>(out.table->names);
  out.drawn = out.supports = out.size();
  out.points_table = std::move(points_table);
  return out;
}

std::size_t column_of(const Table& table, std::string_view word) {
  const std::vector<ColumnSpec>& columns = table.spec().columns;
  const auto at = std::ranges::find(columns, word, &ColumnSpec::name);
  return at == columns.end() ? 0 : static_cast<std::size_t>(at - columns.begin());
}

Where cell_of(const ReadTable& table, std::size_t row, std::string_view column) {
  return table.table->where(table.begins[row], column_of(*table.table, column));
}

Statement place_statement(const JobMarks& marks, std::size_t mark) {
  const MarkRow row = row_of(marks, mark);
  return {.table = row.table, .begin = row.begin};
}

Statement height_statement(const JobMarks& marks, std::size_t mark, const Where& key) {
  if (marks.is_support(mark) && marks.trapeze_height_key)
    return {.key = "obstructions.trapeze_height", .key_at = *marks.trapeze_height_key};
  if (!marks->heights[mark]) return {.key = "hangers.height", .key_at = key};
  const MarkRow row = row_of(marks, mark);
  return {.table = row.table, .begin = row.begin, .column = column_of(row, MarkCell::height)};
}

std::string fellows_words(const MarkTable& marks, const SharedFaults::Fellows& fellows,
                          std::string_view many) {
  const std::string_view first = marks.names[fellows.first];
  return fellows.count == 1 ? std::string(first)
                            : fmt::format("{} {}, {} the first", fellows.count, many, first);
}

}  // namespace deckmark
