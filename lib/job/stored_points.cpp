#include "job/stored_points.h"

#include <algorithm>
#include <utility>
#include <variant>

#include "job/columns.h"
#include "job/tables/stored_points.h"

namespace deckmark {

namespace c = deckmark::stored_points;

Where StoredPoints::where(std::size_t row, std::string_view column) const {
  const auto& columns = table->spec().columns;
  const auto at = std::ranges::find(columns, column, &ColumnSpec::name) - columns.begin();
  return table->where(begins[row], static_cast<std::size_t>(at));
}

std::optional<StoredPoints> read_stored_points(const std::filesystem::path& path, LengthUnit unit,
                                               Messages& messages) {
  auto read = read_source(path, path.string());
  if (const auto* bad = std::get_if<Unreadable>(&read)) {
    messages.problem(Where::whole(path.string()), "file",
                     unreadable_fault(bad->reason, *bad, "the points that the instrument stored",
                                      "deckmark help stored points"));
    return std::nullopt;
  }
  auto opened = Table::open(std::get<0>(std::move(read)), spec_of<c::Terms>(), messages);
  if (!opened) return std::nullopt;
  const OpenTable<c::Terms> table(std::make_shared<const Table>(*std::move(opened)));
  const SiteColumns site(table.at<c::northing>(), table.at<c::easting>(), unit, messages);
  const LengthColumn read_elevation = lengths_of(table.at<c::elevation>(), unit, kSiteUnit, messages);
  auto rows =
      read_records<Rows<StoredPoint>>(*table, messages, [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(table.at<c::point>(), row, told);
        const auto at = site.require(row, told);
        const auto high = read_elevation.read(row, told);
        const auto setup = read_name_or_empty(table.at<c::setup>(), row, told);
        const auto time = read_name_or_empty(table.at<c::time>(), row, told);
        if (!name || !at || !setup || !time) return;
        std::string reading = "c";
        for (const std::string_view cell :
             {table.at<c::northing>().text(row), table.at<c::easting>().text(row),
              table.at<c::elevation>().text(row)})
          if (!cell.empty()) reading += ";" + std::string(cell);
        // Parted by blanks, as it would be typed, where no value holds one.
        if (reading.find(' ') == std::string::npos) std::replace(reading.begin(), reading.end(), ';', ' ');
        out.add({std::string(*name), *at, elevation_of(high), std::string(*setup), std::string(*time),
                 std::move(reading)},
                *name, row.begin());
      });
  if (messages.has_problems()) return std::nullopt;
  return StoredPoints{table.shared(), std::move(rows.records), std::move(rows.begins)};
}

}  // namespace deckmark
