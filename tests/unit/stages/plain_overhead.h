#pragma once
/// What a job says of runs, pieces, bays, obstructions and its deck, made by hand with the tables that state
/// it: row 0 of every table stands on line 2. Lengths in metres.

#include <fmt/format.h>

#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "stages/deck.h"
#include "stages/overhead.h"
#include "unit/stages/plain.h"

namespace plain {

inline std::string cell(const std::optional<Length>& value) {
  return value ? fmt::format("{:g}", value->metres()) : "";
}
inline std::string cell(const Point<Drawing>& p) { return cell(p.at.x) + "," + cell(p.at.y); }

inline StatedRun line(std::string name, double x1, double y1, double x2, double y2,
                      std::optional<Length> height = {}) {
  return {std::move(name), StatedRun::Kind::line, xy(x1, y1), xy(x2, y2), {}, height};
}
inline StatedRun arc(std::string name, const Point<Drawing>& from, const Point<Drawing>& between,
                     const Point<Drawing>& to) {
  return {std::move(name), StatedRun::Kind::arc, from, to, between, {}};
}
inline StatedRun ring(std::string name, const Point<Drawing>& from, const Point<Drawing>& opposite) {
  return {std::move(name), StatedRun::Kind::ring, from, opposite, {}, {}};
}

/// Four corners of a rectangle, the first of which says what is said of the whole.
inline std::vector<StatedCorner> rectangle(const std::string& name, double x0, double y0, double x1,
                                           double y1, StatedCorner says = {{}, xy(0, 0), {}, {}, {}}) {
  std::vector<StatedCorner> out;
  for (const Point<Drawing>& at : {xy(x0, y0), xy(x1, y0), xy(x1, y1), xy(x0, y1)})
    out.push_back({name, at, {}, {}, {}});
  out[0].elevation = says.elevation;
  out[0].flutes = says.flutes;
  out[0].clearance = says.clearance;
  return out;
}
inline std::vector<StatedCorner> bay(const std::string& name, double x0, double x1,
                                     std::optional<double> elevation,
                                     std::optional<StatedFlutes> flutes = {}) {
  return rectangle(
      name, x0, 0, x1, 6,
      {{}, xy(0, 0), elevation ? std::optional(Elevation::metres(*elevation)) : std::nullopt, flutes, {}});
}
template <class T>
std::vector<T> all(std::vector<std::vector<T>> parts) {
  std::vector<T> out;
  for (auto& part : parts) out.insert(out.end(), part.begin(), part.end());
  return out;
}

struct PlainOverhead {
  OverheadJob job{};

  PlainOverhead() { job.hangers.max_spacing = m(1); }

  PlainOverhead& runs(std::vector<StatedRun> rows) {
    constexpr std::string_view kKinds[] = {"line", "arc", "ring"};
    std::string text = "run,kind,x1,y1,x2,y2,xm,ym,height\n";
    for (const StatedRun& r : rows)
      text += r.name + "," + std::string(kKinds[static_cast<std::size_t>(r.kind)]) + "," + cell(r.from) +
              "," + cell(r.to) + "," + (r.between ? cell(*r.between) : ",") + "," + cell(r.height) + "\n";
    job.runs_table = table_of(
        "runs.csv",
        columns("run", {{"kind", ColumnKind::text}}, {"x1", "y1", "x2", "y2", "xm", "ym", "height"}), text);
    job.runs = std::move(rows);
    return *this;
  }
  PlainOverhead& pieces(std::vector<StatedPiece> rows) {
    std::string text = "piece,run,length\n";
    for (const StatedPiece& p : rows) text += p.name + "," + p.run + "," + cell(p.length) + "\n";
    job.pieces_table =
        table_of("pieces.csv", columns("piece", {{"run", ColumnKind::name}}, {"length"}), text);
    job.pieces = std::move(rows);
    return *this;
  }
  PlainOverhead& bays(std::vector<StatedCorner> rows) {
    std::string text = "bay,flutes,x,y,elevation,flute_pitch,flute_first\n";
    for (const StatedCorner& c : rows)
      text += c.name + "," + (c.flutes ? (c.flutes->along_x ? "x" : "y") : "") + "," + cell(c.at) + "," +
              (c.elevation ? cell(c.elevation->above_datum()) : "") + "," +
              (c.flutes ? cell(c.flutes->pitch) + "," + cell(c.flutes->first) : ",") + "\n";
    job.bays_table = table_of(
        "bays.csv",
        columns("bay", {{"flutes", ColumnKind::text}}, {"x", "y", "elevation", "flute_pitch", "flute_first"}),
        text);
    job.bays = std::move(rows);
    return *this;
  }
  PlainOverhead& obstructions(std::vector<StatedCorner> rows) {
    std::string text = "name,x,y,clearance\n";
    for (const StatedCorner& c : rows) text += c.name + "," + cell(c.at) + "," + cell(c.clearance) + "\n";
    job.outlines_table = table_of("ducts.csv", columns("name", {}, {"x", "y", "clearance"}), text);
    job.outlines = std::move(rows);
    return *this;
  }
  PlainOverhead& zones(std::vector<StatedCorner> rows) {
    std::string text = "zone,x,y,clearance\n";
    for (const StatedCorner& c : rows) text += c.name + "," + cell(c.at) + "," + cell(c.clearance) + "\n";
    job.zones_table = table_of("nodrill.csv", columns("zone", {}, {"x", "y", "clearance"}), text);
    job.zones = std::move(rows);
    return *this;
  }
  /// `drawn`: the drawing's own points, of `drawing.csv`.
  Staged<Hung> hung(const std::vector<PlainMark>& drawn = {}) const {
    JobMarks marks = marks_of(drawn);
    MarkTable table;
    for (std::size_t i = 0; i < drawn.size(); ++i) {
      const PlainMark& d = drawn[i];
      table.names.push_back(d.name);
      table.places.push_back(marks->places[i]);
      if (d.height) table.heights.put(i, m(*d.height));
      if (!d.kind.empty()) table.kinds.put(i, d.kind);
      if (!d.run.empty()) table.runs.put(i, d.run);
      table.begins.push_back(marks->begins[i]);
    }
    return hang({std::make_shared<MarkTable>(std::move(table)), nullptr, marks.points_table, job,
                 LengthUnit::metre, Where::at("job.toml", {21, 1}), Where::at("job.toml", {22, 1})});
  }

 private:
  static std::vector<ColumnSpec> columns(std::string name, std::vector<ColumnSpec> more,
                                         const std::vector<std::string>& lengths) {
    std::vector<ColumnSpec> out{{std::move(name), ColumnKind::name, true}};
    for (ColumnSpec& c : more) out.push_back(std::move(c));
    for (const std::string& l : lengths) out.push_back({l, ColumnKind::length});
    return out;
  }
};

/// What a job says of its deck, owned. Keys: deck on line 11, floor on 12, height of brackets on 13.
struct PlainDeck {
  bool has_deck = true;
  std::optional<Elevation> level{};
  std::vector<StatedShot> shots{};
  MeasuredDecks measured{};
  ReadTable shots_table{}, bays_table{};
  DeckOptions options{};
  std::optional<Elevation> floor = Elevation::metres(0);
  std::optional<Length> attach_height{};

  /// Columns stand in an order of their own: a cell has to be found by its column's word.
  PlainDeck& shot_by(std::vector<StatedShot> rows) {
    std::string text = "shot,bay,elevation\n";
    for (const StatedShot& s : rows)
      text += s.name + "," + s.bay + "," + cell(s.elevation.above_datum()) + "\n";
    shots_table = table_of(
        "deck.csv",
        {{"shot", ColumnKind::name}, {"bay", ColumnKind::text}, {"elevation", ColumnKind::length}}, text);
    shots = std::move(rows);
    return *this;
  }
  DeckStated view() const {
    return {has_deck,
            level,
            shots,
            measured,
            shots_table,
            bays_table,
            options,
            floor,
            attach_height,
            LengthUnit::metre,
            LengthUnit::metre,
            Where::at("job.toml", {11, 1}),
            Where::at("job.toml", {12, 1}),
            Where::at("job.toml", {13, 1})};
  }
};
inline StatedShot shot(std::string name, StatedPlace at, double elevation, std::string bay = {}) {
  return {std::move(name), at, Elevation::metres(elevation), std::move(bay)};
}

}  // namespace plain
