#include "job/tables.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <numeric>
#include <utility>

#include "job/columns.h"
#include "job/plausible.h"
#include "measure/decimal.h"
#include "measure/verdict.h"
#include "table/names.h"

namespace deckmark {

std::shared_ptr<const Source> TableLoader::fetch(const TableKey& key, std::string_view what) {
  if (key.frame == TableKey::Frame::grid && job_.ground.options.crs.empty())
    messages_.problem(Where::at(job_.file, key.place), key.key,
                      Fault{"frame = \"grid\" without [site] crs", "the projection that the table is in",
                            "crs = \"EPSG:...\" under [site]"});
  const std::filesystem::path path = job_.folder / std::filesystem::path(key.path);
  auto read = read_source(path, key.path);
  if (const auto* bad = std::get_if<Unreadable>(&read)) {
    messages_.problem(Where::at(job_.file, key.place), key.key,
                      unreadable_fault(fmt::format("{}: {} (tried {})", in_quotes(key.path), bad->reason,
                                                   path.lexically_normal().string()),
                                       *bad, fmt::format("the path of {}, relative to the job file", what)));
    return nullptr;
  }
  job_.inputs.push_back(std::get<0>(std::move(read)));
  job_.input_paths.push_back(path);
  return job_.inputs.back();
}

namespace {

/// Only coordinates of the site can be those of a projection: x, y, dx and dy are lengths of the drawing or
/// on site.
bool has_site_columns(const Table& table) {
  const auto& columns = table.spec().columns;
  for (std::size_t i = 0; i < columns.size(); ++i)
    if (table.has_column(i) && (columns[i].name.ends_with("northing") || columns[i].name == "latitude"))
      return true;
  return false;
}

}  // namespace

std::shared_ptr<const Table> TableLoader::open(const TableKey& key, TableSpec spec) {
  const auto source = fetch(key, "a table");
  if (!source) return nullptr;
  spec.fixed_columns = key.columns;
  auto table = Table::open(source, std::move(spec), messages_);
  if (table && key.frame == TableKey::Frame::grid && !has_site_columns(*table))
    messages_.problem(
        Where::at(job_.file, key.place), key.key,
        Fault{"frame = \"grid\" for a table without northing and easting",
              "northing and easting in the projection, or a table that is not framed", in_quotes(key.path)});
  return table ? std::make_shared<const Table>(std::move(*table)) : nullptr;
}

std::optional<Table> TableLoader::open_source(std::shared_ptr<const Source> source,
                                              const std::filesystem::path& path, TableSpec spec) {
  job_.inputs.push_back(source);
  job_.input_paths.push_back(path);
  return Table::open(std::move(source), std::move(spec), messages_);
}

void TableLoader::unique_names(const Table& table, std::span<const std::uint32_t> begins,
                               const NameIndex& index, const TextColumn& names, std::size_t column) {
  std::vector<std::uint32_t> firsts;
  for (const auto& [first, later] : index.duplicates()) {
    if (firsts.size() >= Messages::kProblemsKept) break;
    firsts.push_back(table.cell_offset(begins[first], column));
  }
  const auto places = table.source()->places(firsts);
  std::size_t told = 0;
  for (const auto& [first, later] : index.duplicates()) {
    const std::string line =
        told < places.size() ? fmt::format("line {}", places[told].line) : "another line";
    ++told;
    messages_.problem(table.where(begins[later], column), table.spec().columns[column].name,
                      Fault{fmt::format("name {} again, first on {}", in_quotes(names[later]), line),
                            "each name once, without regard to letter case", ""});
  }
}

void TableLoader::drawing_points(const TableKey& key) {
  enum Column : std::size_t { point, x, y, height, kind, run, x_ft, x_in, y_ft, y_in, note };
  const auto table =
      open(key, {"drawing points",
                 {name_column("point"), length_column("x"), length_column("y"), length_column("height"),
                  text_column("kind"), text_column("run"), number_column("x_ft"), number_column("x_in"),
                  number_column("y_ft"), number_column("y_in"), text_column("note")},
                 {},
                 false});
  if (!table) return;
  job_.points_table.table = table;
  const bool has_x = has_plan_columns(*table, x, x_ft, x_in, messages_);
  if (!has_plan_columns(*table, y, y_ft, y_in, messages_) || !has_x) return;
  const LengthColumn read_x(*table, x, job_.drawing_unit, kDrawingUnit, messages_);
  const LengthColumn read_y(*table, y, job_.drawing_unit, kDrawingUnit, messages_);
  refuse_two_feet(*table, x, y, job_.drawing_unit, messages_);
  const LengthColumn read_height(*table, height, job_.drawing_unit, kDrawingUnit, messages_);
  const bool x_split = table->has_column(x_ft), y_split = table->has_column(y_ft);
  const bool survey = job_.drawing_unit == LengthUnit::survey_foot;
  job_.marks =
      read_records<MarkTable>(*table, messages_, [&](MarkTable& marks, const Row& row, Messages& told) {
        if (marks.size() == 0) marks.names = TextColumn(table->source());
        const auto name = read_name(*table, row, point, told);
        const auto at_x =
            x_split ? read_feet_and_inches(*table, row, x_ft, x_in, survey, told) : read_x.require(row, told);
        const auto at_y =
            y_split ? read_feet_and_inches(*table, row, y_ft, y_in, survey, told) : read_y.require(row, told);
        const auto tall = read_height.read(row, told);
        const auto of_kind = read_text(*table, row, kind, told),
                   of_run = read_name_or_empty(*table, row, run, told);
        if (!name || !at_x || !at_y) return;
        const std::size_t i = marks.size();
        marks.names.push_back(*name);
        marks.places.push_back({{.x = *at_x, .y = *at_y}});
        if (tall) marks.heights.put(i, *tall);
        if (of_kind && !of_kind->empty()) marks.kinds.put(i, *of_kind);
        if (of_run && !of_run->empty()) marks.runs.put(i, *of_run);
        marks.begins.push_back(row.begin());
      });
  job_.mark_index = std::make_unique<const NameIndex>(job_.marks.names);
  unique_names(*table, job_.marks.begins, *job_.mark_index, job_.marks.names, point);
}

void TableLoader::control(const TableKey& key) {
  job_.ground_control = !job_.ground.options.crs.empty() && key.frame == TableKey::Frame::ground;
  if (!job_.ground.options.crs.empty() && !job_.ground_control) return grid_control(key);
  enum Column : std::size_t { point, northing, easting, elevation, sd };
  const auto table =
      open(key, {"control",
                 {name_column("point"), length_column("northing", true), length_column("easting", true),
                  length_column("elevation"), length_column("sd")},
                 {},
                 false});
  if (!table) return;
  const SiteColumns site(*table, northing, easting, job_.site_unit, messages_, grid_of(key));
  const LengthColumn read_elevation(*table, elevation, job_.site_unit, kSiteUnit, messages_);
  const LengthColumn read_sd(*table, sd, job_.site_unit, kSiteUnit, messages_, is_possible_sd);
  auto rows =
      read_records<Rows<ControlPoint>>(*table, messages_, [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(*table, row, point, told);
        const auto at = site.require(row, told);
        const auto high = read_elevation.read(row, told);
        const auto spread = control_sd(*table, row, sd, read_sd.read(row, told), told);
        if (name && at) out.add({std::string(*name), *at, elevation_of(high), spread}, *name, row.begin());
      });
  unique_names(*table, rows.begins, NameIndex(rows.names), rows.names, point);
  job_.control_table = {table, std::move(rows.begins)};
  job_.control = std::move(rows.records);
}

void doubt_near_control(const Job& job, Messages& messages) {
  constexpr Length kOnePlace =
      Length::millimetres(5);  // nobody sets two marks so close (common practice, no source)
  const std::vector<ControlPoint>& control = job.control;
  std::vector<std::uint32_t> order(control.size());
  std::iota(order.begin(), order.end(), 0U);
  std::ranges::sort(order, {}, [&](std::uint32_t i) { return std::pair(control[i].at.at.northing, i); });
  for (std::size_t i = 0; i < order.size(); ++i) {
    for (std::size_t k = i;
         k-- > 0 && control[order[i]].at.at.northing - control[order[k]].at.at.northing < kOnePlace;) {
      const auto [first, later] = std::minmax(order[i], order[k]);
      const ControlPoint &one = control[first], &other = control[later];
      const Length apart = distance(one.at, other.at);
      // Plumb over one another, on floor and soffit, they are two.
      const bool two_heights =
          one.elevation && other.elevation && abs(*one.elevation - *other.elevation) >= kOnePlace;
      if (apart > kOnePlace - kHair || two_heights) continue;
      messages.doubt(
          "control points closer than 5 mm",
          job.control_table.table->where(job.control_table.begins[later], 0), "point",
          fmt::format(
              "{} lies {} {}; closer than 5 mm (common practice, no source): is it keyed twice?", other.name,
              apart <= kHair ? std::string("on") : fmt::format("{} mm from", fixed(apart.millimetres(), 1)),
              one.name));
      break;
    }
  }
}

void TableLoader::deck_shots(const TableKey& key) {
  enum Column : std::size_t { shot, elevation, northing, easting, x, y, bay };
  const auto table =
      open(key, {"deck shots",
                 {name_column("shot", "target"), length_column("elevation", true), length_column("northing"),
                  length_column("easting"), length_column("x"), length_column("y"), text_column("bay")},
                 {},
                 false,
                 side_shot_columns()});
  if (!table) return;
  const PlaceColumns way = place_columns(
      *table, {{PlaceColumns::site, northing, easting}, {PlaceColumns::drawing, x, y}}, messages_);
  if (way == PlaceColumns::none) return;
  const SiteColumns site(*table, northing, easting, job_.site_unit, messages_, grid_of(key));
  const DrawingColumns drawing(*table, x, y, job_.drawing_unit, kDrawingUnit, messages_);
  const LengthColumn read_elevation(*table, elevation, job_.site_unit, kSiteUnit, messages_);
  auto rows =
      read_records<Rows<StatedShot>>(*table, messages_, [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(*table, row, shot, told);
        const auto high = read_elevation.require(row, told);
        std::optional<StatedPlace> at;
        if (way == PlaceColumns::site)
          at = site.require(row, told);
        else
          at = drawing.require(row, told);
        const auto of_bay = read_name_or_empty(*table, row, bay, told);
        if (name && high && at && of_bay)
          out.add({std::string(*name), *at, Elevation::at(*high), std::string(*of_bay)}, *name, row.begin());
      });
  unique_names(*table, rows.begins, NameIndex(rows.names), rows.names, shot);
  job_.shots_table = {table, std::move(rows.begins)};
  job_.shots = std::move(rows.records);
}

void TableLoader::deck_marks(const TableKey& key) {
  enum Column : std::size_t {
    point,
    elevation,
    sd,
    northing,
    easting,
    x,
    y,
    dx,
    dy,
    floor_northing,
    floor_easting
  };
  const auto table = open(
      key, {"deck marks",
            {name_column("point"), length_column("elevation"), length_column("sd"), length_column("northing"),
             length_column("easting"), length_column("x"), length_column("y"), length_column("dx"),
             length_column("dy"), length_column("floor_northing"), length_column("floor_easting")},
            {},
            false});
  if (!table) return;
  const PlaceColumns way = place_columns(*table,
                                         {{PlaceColumns::site, northing, easting},
                                          {PlaceColumns::drawing, x, y},
                                          {PlaceColumns::offset, dx, dy}},
                                         messages_);
  if (way == PlaceColumns::none) return;
  const SiteColumns site(*table, northing, easting, job_.site_unit, messages_, grid_of(key));
  const SiteColumns floor(*table, floor_northing, floor_easting, job_.site_unit, messages_, grid_of(key));
  const DrawingColumns drawing(*table, x, y, job_.drawing_unit, kDrawingUnit, messages_);
  const DrawingColumns offset(*table, dx, dy, job_.site_unit, kSiteUnit, messages_);  // lengths on site
  const LengthColumn read_elevation(*table, elevation, job_.site_unit, kSiteUnit, messages_);
  const LengthColumn read_sd(*table, sd, job_.site_unit, kSiteUnit, messages_, is_possible_sd);
  auto rows =
      read_records<Rows<StatedDeckMark>>(*table, messages_, [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(*table, row, point, told);
        const auto high = read_elevation.read(row, told);
        const auto spread =
            believed_sd(*table, row, sd, not_negative(*table, row, sd, read_sd.read(row, told), told), told);
        std::optional<std::variant<Point<Site>, Point<Drawing>, Vec<Drawing>>> at;
        if (way == PlaceColumns::site) at = site.require(row, told);
        if (way == PlaceColumns::drawing) at = drawing.require(row, told);
        if (way == PlaceColumns::offset)
          if (const auto by = offset.require(row, told)) at = Vec<Drawing>{{.x = by->at.x, .y = by->at.y}};
        std::optional<Point<Site>> below;
        if (row.has(floor_northing) || row.has(floor_easting)) {
          below = floor.require(row, told);
          if (!below) return;
        }
        if (name && at)
          out.add({std::string(*name), *at, elevation_of(high), spread, below}, *name, row.begin());
      });
  unique_names(*table, rows.begins, NameIndex(rows.names), rows.names, point);
  job_.deck_marks_table = {table, std::move(rows.begins)};
  job_.deck_marks = std::move(rows.records);
}

void TableLoader::fetch_ledger(const std::filesystem::path& path, const std::string& file) {
  fetched_path_ = path;
  fetched_ = std::async(std::launch::async, [path, file] { return read_source(path, file); });
}

void TableLoader::ledger(const std::string& file) {
  enum Column : std::size_t { point, number, status, x, y, deck_offset, revision, northing, easting };
  auto read = fetched_.valid() && fetched_path_ == job_.ledger_path ? fetched_.get()
                                                                    : read_source(job_.ledger_path, file);
  if (const auto* bad = std::get_if<Unreadable>(&read)) {
    if (bad->reason != kNoSuchFile)
      messages_.problem(job_.keys["numbers.ledger"], "numbers.ledger",
                        unreadable_fault(fmt::format("{}: {}", in_quotes(file), bad->reason), *bad,
                                         "the ledger of numbers, a file"));
    return;
  }
  const auto table_made = open_source(std::get<0>(std::move(read)), job_.ledger_path,
                                      {"ledger",
                                       {name_column("point"),
                                        {"number", ColumnKind::number, true},
                                        {"status", ColumnKind::text, true},
                                        length_column("x", true),
                                        length_column("y", true),
                                        {"deck_offset", ColumnKind::number, true},
                                        {"revision", ColumnKind::text, true},
                                        length_column("northing", true),
                                        length_column("easting", true)},
                                       {},
                                       true});
  if (!table_made) return;
  const auto table = std::make_shared<const Table>(*table_made);
  const SiteColumns site(*table, northing, easting, LengthUnit::metre, messages_);
  const DrawingColumns drawing(*table, x, y, LengthUnit::metre, "the ledger", messages_);
  job_.ledger =
      read_records<LedgerTable>(*table, messages_, [&](LedgerTable& out, const Row& row, Messages& told) {
        if (out.size() == 0) out.names = TextColumn(table->source());
        const auto name = read_issued_name(*table, row, point, told);
        const auto at = drawing.require(row, told);
        const auto on_site = site.require(row, told);
        const auto of_revision = read_text(*table, row, revision, told);
        const auto n = read_whole(*table, row, number, kLeastNumber, kMostNumber, told);
        const auto offset = read_whole(*table, row, deck_offset, 1, kMostNumber, told);
        const std::string_view state = row.text(status);
        const bool live = state == "live";
        if (!live && state != "dropped") {
          told.problem(Where::in(table->source(), row.offset(status)), "status",
                       Fault{in_quotes(state), "live or dropped", ""});
          return;
        }
        if (!name || !at || !on_site || !of_revision || !n || !offset) return;
        const std::size_t i = out.size();
        out.take_offset({*offset, row.begin(), 1});
        out.names.push_back(*name);
        out.numbers.push_back(static_cast<std::uint32_t>(*n));
        out.live.push_back(live ? 1 : 0);
        out.places.push_back(*at);
        out.site_places.push_back(*on_site);
        if (!of_revision->empty()) out.revisions.put(i, *of_revision);
        out.begins.push_back(row.begin());
      });
  // All rows state one offset. Where a hand was at it, most rows are right, whichever stand first.
  const std::vector<LedgerTable::OffsetUse>& offsets = job_.ledger.offsets;
  const auto usual = std::ranges::max_element(offsets, {}, [&](const LedgerTable::OffsetUse& use) {
    return std::pair(use.rows, use.offset == job_.numbers.deck_offset);
  });
  if (usual != offsets.end()) job_.ledger.deck_offset = usual->offset;
  for (const LedgerTable::OffsetUse& use : offsets)
    if (use.offset != usual->offset)
      messages_.problem(
          table->where(use.begin, deck_offset), "deck_offset",
          Fault{fmt::format("{}{}", use.offset,
                            use.rows > 1 ? fmt::format(" in {} rows, this the first", use.rows) : ""),
                fmt::format("{}, as {} other row{}", usual->offset, usual->rows,
                            usual->rows == 1 ? " has" : "s have"),
                fmt::format("{}", usual->offset)});
  job_.ledger_table.table = table;
}

}  // namespace deckmark
