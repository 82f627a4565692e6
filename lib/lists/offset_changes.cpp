#include "lists/offset_changes.h"

#include <charconv>
#include <optional>
#include <string>
#include <unordered_map>
#include <utility>
#include <vector>

#include "lists/offsets.h"
#include "measure/length_text.h"
#include "measure/verdict.h"
#include "table/reader.h"

namespace deckmark {

namespace {

struct OffsetRow {
  std::int64_t number = 0;
  std::string point;
  std::vector<std::string> cells;
};

class Rows final : public Table::Handler {
 public:
  void row(const Row& row, Messages&) override {
    OffsetRow out;
    const std::string_view number = row.text(0);
    if (std::from_chars(number.data(), number.data() + number.size(), out.number).ec != std::errc()) return;
    out.point = row.text(1);
    for (std::size_t c = 2; c < columns_; ++c) out.cells.emplace_back(row.text(c));
    rows.push_back(std::move(out));
  }
  explicit Rows(std::size_t columns) : columns_(columns) {}
  std::vector<OffsetRow> rows;

 private:
  std::size_t columns_;
};

struct OffsetsRead {
  std::vector<std::optional<LengthUnit>> units;  // of the columns
  std::vector<OffsetRow> rows;
};

OffsetsRead read_offsets(const std::shared_ptr<const Source>& source,
                         const std::vector<std::string>& columns) {
  TableSpec spec{.what = "offsets",
                 .columns = {{std::string(kOffsetsOutput.columns[0].name)},
                             {std::string(kOffsetsOutput.columns[1].name)}},
                 .fixed_columns = {},
                 .may_be_empty = true};
  for (const std::string& c : columns) spec.columns.push_back({c, ColumnKind::length});
  const std::size_t count = spec.columns.size();
  Messages told;  // of a file that no person wrote: it is compared, or it is not
  OffsetsRead out;
  const auto table = Table::open(source, std::move(spec), told);
  if (!table) return out;
  for (std::size_t c = 2; c < count; ++c) out.units.push_back(table->header_unit(c));
  for (const auto& part : table->read([count] { return std::make_unique<Rows>(count); }, told))
    for (OffsetRow& row : static_cast<Rows&>(*part).rows) out.rows.push_back(std::move(row));
  return out;
}

std::optional<Length> length_of(const std::string& text, LengthUnit unit) {
  const auto read = read_length(text, {unit});
  return read ? std::optional(read->value) : std::nullopt;
}

}  // namespace

OffsetChanges offset_changes(const std::shared_ptr<const Source>& before,
                             const std::shared_ptr<const Source>& now, bool strings,
                             const std::set<std::int64_t>& left_out) {
  const std::vector<std::string> columns = sheet_distances(strings);
  const OffsetsRead old = read_offsets(before, columns), fresh = read_offsets(now, columns);
  std::unordered_map<std::int64_t, const OffsetRow*> of_number;
  for (const OffsetRow& row : old.rows) of_number.emplace(row.number, &row);
  OffsetChanges out;
  for (const OffsetRow& row : fresh.rows) {
    const auto found = of_number.find(row.number);
    if (found == of_number.end() || found->second->point != row.point || left_out.count(row.number)) continue;
    for (std::size_t c = 0; c < columns.size(); ++c) {
      const std::string &was = found->second->cells[c], &is = row.cells[c];
      if (was == is || old.units[c] != fresh.units[c] || !fresh.units[c]) continue;
      ++out.count;
      const auto a = length_of(was, *fresh.units[c]), b = length_of(is, *fresh.units[c]);
      if (!a || !b) continue;
      if (const Length by = abs(*b - *a); out.number == 0 || by > out.largest + kHair)
        out.number = row.number, out.largest = by;
    }
  }
  return out;
}

}  // namespace deckmark
