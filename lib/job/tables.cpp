#include "job/tables.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <numeric>
#include <utility>

#include "job/columns.h"
#include "job/plausible.h"
#include "measure/decimal.h"
#include "measure/side_by_side.h"
#include "measure/verdict.h"
#include "table/names.h"

namespace deckmark {

std::shared_ptr<const Source> TableLoader::fetch(const TableKey& key, std::string_view what) {
  if (key.frame == TableKey::Frame::grid && !job_.ground.states_crs)
    messages_.problem(key.place, key.key,
                      Fault{"frame = \"grid\" without [site] crs", "the projection that the table is in",
                            "crs = \"EPSG:...\" under [site]"});
  const std::string name = path_from_job(key.place, key.path);
  const std::filesystem::path path = job_.folder / std::filesystem::path(name);
  auto read = read_source(path, name);
  if (const auto* bad = std::get_if<Unreadable>(&read)) {
    messages_.problem(
        key.place, key.key,
        unreadable_fault(fmt::format("{}: {} (tried {})", in_quotes(key.path), bad->reason,
                                     path.lexically_normal().string()),
                         *bad,
                         fmt::format("the path of {}, relative to {}", what,
                                     key.place.file == job_.file ? "the job file" : key.place.file)));
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

/// The value of the key, for renames and for what is offered in its place.
TableLine line_of(const TableKey& key) {
  const std::size_t dot = key.key.find_last_of('.');
  TableLine line{key.key.substr(dot + 1), key.key.substr(0, dot), key.path, {}, key.renames};
  if (key.frame != TableKey::Frame::unstated)
    line.beside.push_back(key.frame == TableKey::Frame::grid ? "frame = \"grid\"" : "frame = \"ground\"");
  return line;
}

}  // namespace

std::shared_ptr<const Table> TableLoader::open(const TableKey& key, TableSpec spec) {
  const auto source = given_ ? std::exchange(given_, nullptr) : fetch(key, "a table");
  if (!source) return nullptr;
  spec.fixed_columns = key.columns;
  spec.line = line_of(key);
  auto table = Table::open(source, std::move(spec), messages_);
  if (table && key.frame == TableKey::Frame::grid && !has_site_columns(*table))
    messages_.problem(
        key.place, key.key,
        Fault{"frame = \"grid\" for a table without northing and easting",
              "northing and easting in the projection, or a table that is not framed", in_quotes(key.path)});
  return table ? std::make_shared<const Table>(std::move(*table)) : nullptr;
}

void TableLoader::unique_names(const AnyColumn& column, std::span<const std::uint32_t> begins,
                               const NameIndex& index, const TextColumn& names) {
  const Table& table = column.table();
  std::vector<std::uint32_t> firsts;
  for (const auto& [first, later] : index.duplicates()) {
    if (firsts.size() >= Messages::kProblemsKept) break;
    firsts.push_back(table.cell_offset(begins[first], column.index()));
  }
  const auto places = table.source()->places(firsts);
  std::size_t told = 0;
  for (const auto& [first, later] : index.duplicates()) {
    const std::string line =
        told < places.size() ? fmt::format("line {}", places[told].line) : "another line";
    ++told;
    messages_.problem(column.where(begins[later]), column.name(),
                      Fault{fmt::format("name {} again, first on {}", in_quotes(names[later]), line),
                            "each name once, without regard to letter case", ""});
  }
}

void TableLoader::drawing_points(const TableKey& key) {
  namespace c = deckmark::drawing_points;
  const auto table = open<c::Terms, c::Places>(key);
  if (!table) return;
  job_.points_table.table = table.shared();
  const auto x_ft = table.at<c::x_ft>(), x_in = table.at<c::x_in>(), y_ft = table.at<c::y_ft>(),
             y_in = table.at<c::y_in>();
  const bool has_x = has_plan_columns(table.at<c::x>(), x_ft, x_in, messages_);
  if (!has_plan_columns(table.at<c::y>(), y_ft, y_in, messages_) || !has_x) return;
  const LengthColumn read_x = lengths_of(table.at<c::x>(), job_.drawing_unit, kDrawingUnit, messages_);
  const LengthColumn read_y = lengths_of(table.at<c::y>(), job_.drawing_unit, kDrawingUnit, messages_);
  refuse_two_feet(table.at<c::x>(), table.at<c::y>(), job_.drawing_unit, messages_);
  const LengthColumn read_height =
      lengths_of(table.at<c::height>(), job_.drawing_unit, kDrawingUnit, messages_);
  const bool x_split = x_ft.stands(), y_split = y_ft.stands();
  const bool survey = job_.drawing_unit == LengthUnit::survey_foot;
  *job_.marks =
      read_records<MarkTable>(*table, messages_, [&](MarkTable& marks, const Row& row, Messages& told) {
        if (marks.size() == 0) marks.names = TextColumn(table->source());
        const auto name = read_name(table.at<c::point>(), row, told);
        const auto at_x =
            x_split ? read_feet_and_inches(x_ft, x_in, row, survey, told) : read_x.require(row, told);
        const auto at_y =
            y_split ? read_feet_and_inches(y_ft, y_in, row, survey, told) : read_y.require(row, told);
        const auto tall = read_height.read(row, told);
        const auto of_kind = read_text(table.at<c::kind>(), row, told),
                   of_run = read_name_or_empty(table.at<c::run>(), row, told),
                   before = read_name_or_empty(table.at<c::was>(), row, told);
        if (!name || !at_x || !at_y) return;
        const std::size_t i = marks.size();
        marks.names.push_back(*name);
        marks.places.push_back({{.x = *at_x, .y = *at_y}});
        if (tall) marks.heights.put(i, *tall);
        if (of_kind && !of_kind->empty()) marks.kinds.put(i, *of_kind);
        if (of_run && !of_run->empty()) marks.runs.put(i, *of_run);
        if (before && !before->empty()) marks.was.put(i, *before);
        marks.begins.push_back(row.begin());
      });
  job_.mark_index = std::make_shared<const NameIndex>(job_.marks->names);
  unique_names(table.at<c::point>(), job_.marks->begins, *job_.mark_index, job_.marks->names);
}

void TableLoader::control(const TableKey& key) {
  job_.ground_control = job_.ground.crs_key.written && key.frame == TableKey::Frame::ground;
  if (job_.ground.crs_key.written && !job_.ground_control) return grid_control(key);
  namespace c = deckmark::control;
  const auto table = open<c::Terms>(key);
  if (!table) return;
  const SiteColumns site(table.at<c::northing>(), table.at<c::easting>(), job_.site_unit, messages_,
                         grid_of(key));
  const LengthColumn read_elevation =
      lengths_of(table.at<c::elevation>(), job_.site_unit, kSiteUnit, messages_);
  const auto sd = table.at<c::sd>();
  const LengthColumn read_sd = lengths_of(sd, job_.site_unit, kSiteUnit, messages_, is_possible_sd);
  auto rows =
      read_records<Rows<ControlPoint>>(*table, messages_, [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(table.at<c::point>(), row, told);
        const auto at = site.require(row, told);
        const auto high = read_elevation.read(row, told);
        const auto spread = control_sd(sd, row, read_sd.read(row, told), told);
        if (name && at)
          out.add({std::string(*name), *at, elevation_of(high), spread}, *name, row.begin());
        else
          out.refuse(name, row.begin());
      });
  refuse_name_twice(*this, table.at<c::point>(), rows);
  job_.control_table = {table.shared(), std::move(rows.begins)};
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
          job.control_table.table->where(job.control_table.begins[later],
                                         control::Terms::index<control::point>()),
          control::point.name,
          fmt::format(
              "{} lies {} {}; closer than 5 mm (common practice, no source): is it keyed twice?", other.name,
              apart <= kHair ? std::string("on") : fmt::format("{} mm from", fixed(apart.millimetres(), 1)),
              one.name));
      break;
    }
  }
}

}  // namespace deckmark
