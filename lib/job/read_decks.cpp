#include <fmt/format.h>

#include "asbuilt/options.h"
#include "job/columns.h"
#include "job/plausible.h"
#include "job/tables.h"
#include "table/names.h"

namespace deckmark {

void TableLoader::deck_shots(const TableKey& key) {
  namespace c = deckmark::deck_shots;
  const auto table = open_measured<c::Terms, c::Places, c::elevation>(key);
  if (!table) return;
  const PlaceCells place({{PlaceColumns::site, table.at<c::northing>(), table.at<c::easting>()},
                          {PlaceColumns::drawing, table.at<c::x>(), table.at<c::y>()}},
                         may_be_sighted(), messages_);
  if (!place.is_usable()) return;
  const SiteColumns site(table.at<c::northing>(), table.at<c::easting>(), job_.site_unit, messages_,
                         grid_of(key));
  const DrawingColumns drawing(table.at<c::x>(), table.at<c::y>(), job_.drawing_unit, kDrawingUnit,
                               messages_);
  const auto elevation = table.at<c::elevation>();
  const LengthColumn read_elevation = lengths_of(elevation, job_.site_unit, kSiteUnit, messages_);
  auto rows =
      read_records<Rows<KeyedShot>>(*table, messages_, [&](auto& out, const Row& row, Messages& told) {
        const auto name = read_name(table.at<c::shot>(), row, told);
        const auto of_bay = read_name_or_empty(table.at<c::bay>(), row, told),
                   of_setup = read_name_or_empty(table.at<c::setup>(), row, told);
        KeyedShot shot{"", {}, {}, std::string(of_bay.value_or("")), std::string(of_setup.value_or(""))};
        bool good = name && of_bay && of_setup;
        if (place.is_left(row) && !elevation.has(row)) {
          good = place.may_be_left(row, name.value_or(""), told) && good;
        } else {
          shot.elevation = elevation_of(read_elevation.require(row, told));
          if (place.way() == PlaceColumns::drawing)
            shot.at = drawing.require(row, told);
          else
            shot.at = site.require(row, told);
          good = good && shot.elevation && shot.at;
        }
        if (!good) return out.refuse(name, row.begin());
        shot.name = *name;
        out.add(std::move(shot), *name, row.begin());
      });
  refuse_name_twice(*this, table.at<c::shot>(), rows);
  job_.shots_table = {table.shared(), std::move(rows.begins)};
  job_.shots = std::move(rows.records);
}

namespace {

/// Good and empty where the row states none; bad, and told, where it is no quarter turn.
struct TurnRead {
  bool good = true;
  std::optional<int> turn{};
};
TurnRead read_turn(const NumberColumn& column, const Row& row, Messages& told) {
  const std::string_view text = column.text(row);
  if (text.empty()) return {};
  for (const int turn : kHousingTurns)
    if (text == std::to_string(turn)) return {true, turn};
  column.problem(
      row, Fault{in_quotes(text), "0, 90, 180 or 270: the turn of the laser's housing in degrees", ""}, told);
  return {false, {}};
}

/// Sights of one name are one point: they cannot tell turns apart.
bool refuse_sighted_turn(const AnyColumn& column, const Row& row, int turn, Messages& told) {
  column.problem(row,
                 Fault{fmt::format("turn {} without a place", turn),
                       "northing and easting (x and y, or dx and dy) of the mark at this turn: sights of one "
                       "name are one point",
                       ""},
                 told);
  return false;
}

/// Rows that state no turn, and their names: of a point there is one.
void refuse_mark_twice(TableLoader& tables, const NameColumn& column, const Rows<KeyedDeckMark>& rows) {
  std::vector<std::uint32_t> begins;
  TextColumn names;
  for (std::size_t i = 0; i < rows.records.size(); ++i) {
    if (rows.records[i].turn) continue;
    begins.push_back(rows.begins[i]);
    names.push_back(rows.names[i]);
  }
  tables.unique_names(column, begins, NameIndex(names), names);
}

}  // namespace

void TableLoader::deck_marks(const TableKey& key) {
  namespace c = deckmark::deck_marks;
  const auto table = open<c::Terms, c::Places>(key);
  if (!table) return;
  const PlaceCells place({{PlaceColumns::site, table.at<c::northing>(), table.at<c::easting>()},
                          {PlaceColumns::drawing, table.at<c::x>(), table.at<c::y>()},
                          {PlaceColumns::offset, table.at<c::dx>(), table.at<c::dy>()}},
                         may_be_sighted(), messages_);
  if (!place.is_usable()) return;
  const SiteColumns site(table.at<c::northing>(), table.at<c::easting>(), job_.site_unit, messages_,
                         grid_of(key));
  const auto floor_n = table.at<c::floor_northing>(), floor_e = table.at<c::floor_easting>();
  const SiteColumns floor(floor_n, floor_e, job_.site_unit, messages_, grid_of(key));
  const DrawingColumns drawing(table.at<c::x>(), table.at<c::y>(), job_.drawing_unit, kDrawingUnit,
                               messages_);
  const DrawingColumns offset(table.at<c::dx>(), table.at<c::dy>(), job_.site_unit, kSiteUnit,
                              messages_);  // lengths on site
  const LengthColumn read_elevation =
      lengths_of(table.at<c::elevation>(), job_.site_unit, kSiteUnit, messages_);
  const auto sd = table.at<c::sd>();
  const auto turn = table.at<c::turn>();
  const LengthColumn read_sd = lengths_of(sd, job_.site_unit, kSiteUnit, messages_, is_possible_sd);
  const auto place_of = [&](const Row& row, Messages& told) -> std::optional<MarkPlace> {
    if (place.way() == PlaceColumns::site) return site.require(row, told);
    if (place.way() == PlaceColumns::drawing) return drawing.require(row, told);
    if (const auto by = offset.require(row, told)) return Vec<Drawing>{{.x = by->at.x, .y = by->at.y}};
    return std::nullopt;
  };
  auto rows =
      read_records<Rows<KeyedDeckMark>>(*table, messages_, [&](auto& out, const Row& row, Messages& told) {
        std::optional<AsbuiltLevel> level;
        const bool is_level = read_word(table.at<c::level>(), row, kAsbuiltLevelWords, level, told);
        if (level.value_or(AsbuiltLevel::deck) != AsbuiltLevel::deck) return;  // of a list with all levels
        const auto name = read_name(table.at<c::point>(), row, told);
        const auto high = read_elevation.read(row, told);
        const auto spread = believed_sd(sd, row, not_negative(sd, row, read_sd.read(row, told), told), told);
        const auto of_setup = read_name_or_empty(table.at<c::setup>(), row, told);
        const TurnRead turned = read_turn(turn, row, told);
        const bool is_left = place.is_left(row);
        const auto at = is_left ? std::nullopt : place_of(row, told);
        const bool has_place = !is_left      ? at.has_value()
                               : turned.turn ? refuse_sighted_turn(turn, row, *turned.turn, told)
                                             : place.may_be_left(row, name.value_or(""), told);
        std::optional<Point<Site>> below;
        if (floor_n.has(row) || floor_e.has(row)) {
          below = floor.require(row, told);
          if (!below) return;
        }
        const auto from = read_name_or_empty(table.at<c::marked_from>(), row, told),
                   by = read_name_or_empty(table.at<c::by>(), row, told),
                   marked_by = read_name_or_empty(table.at<c::marked_by>(), row, told);
        if (!name || !is_level || !of_setup || !has_place || !turned.good || !from || !by || !marked_by)
          return;
        const bool is_own =
            (!from->empty() && same_name(*from, *of_setup)) || (!by->empty() && same_name(*by, *marked_by));
        out.add({std::string(*name), at, elevation_of(high), spread, below, std::string(*of_setup),
                 turned.turn, is_own},
                *name, row.begin());
      });
  refuse_mark_twice(*this, table.at<c::point>(), rows);
  job_.deck_marks_table = {table.shared(), std::move(rows.begins)};
  job_.deck_marks = std::move(rows.records);
}

}  // namespace deckmark
