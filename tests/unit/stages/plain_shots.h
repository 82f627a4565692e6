#pragma once
/// As-built shots by hand.

#include <memory>
#include <string>
#include <vector>

#include "stages/asbuilt.h"
#include "unit/stages/plain.h"

namespace plain {

/// A shot as its row states it; heights in metres.
struct PlainShot {
  std::string point;
  std::variant<Point<Site>, Point<Drawing>> at;
  std::optional<double> up = {};
  std::optional<AsbuiltLevel> level = {};
  std::string setup = {}, marked_from = {};
  std::optional<Length> sd = {};
  std::string reflector = {}, crew = {}, time = {};
};

/// The shots as their table `shots.csv` states them: the first stands on line 2.
inline AsbuiltJob shots_of(const std::vector<PlainShot>& shots) {
  AsbuiltJob out;
  std::string text = "point,northing,easting,x,y,elevation,level,setup,marked_from,reflector,crew,time,sd\n";
  for (std::size_t i = 0; i < shots.size(); ++i) {
    const PlainShot& s = shots[i];
    text += s.point + ",,,,," + (s.up ? std::to_string(*s.up) : "") + ",," + s.setup + "," + s.marked_from +
            ",,,,\n";
    out.shots.points.push_back(s.point);
    const auto at = std::visit([](const auto& p) { return decltype(StatedAsbuilt::at)(p); }, s.at);
    out.shots.rows.push_back({at, s.up ? std::optional(Elevation::metres(*s.up)) : std::nullopt, s.level,
                              s.sd, s.time.empty() ? std::nullopt : std::optional<std::int64_t>(i)});
    const auto put = [&](WordColumn& column, const std::string& word) {
      if (!word.empty()) column.put(i, word);
    };
    put(out.shots.setups, s.setup);
    put(out.shots.marked_from, s.marked_from);
    put(out.shots.reflectors, s.reflector);
    put(out.shots.crews, s.crew);
    put(out.shots.times, s.time);
  }
  ReadTable table = table_of("shots.csv",
                             {{"point", ColumnKind::name, true},
                              {"northing", ColumnKind::length},
                              {"easting", ColumnKind::length},
                              {"x", ColumnKind::length},
                              {"y", ColumnKind::length},
                              {"elevation", ColumnKind::length},
                              {"level"},
                              {"setup"},
                              {"marked_from"},
                              {"reflector"},
                              {"crew"},
                              {"time"},
                              {"sd", ColumnKind::length}},
                             text);
  out.table = table.table;
  out.shots.begins = std::move(table.begins);
  return out;
}

/// What a job says of its as-built shots, owned.
struct PlainAsbuilt {
  AsbuiltJob asbuilt{};
  std::vector<ControlPoint> control{};
  std::vector<NamedTie> ties{};
  InstrumentJob instrument{};
  std::optional<Elevation> floor{};
  Length flatness = mm(20);
  LengthUnit drawing_unit = LengthUnit::metre, site_unit = LengthUnit::metre;

  AsbuiltStated view() const {
    return {asbuilt, control, ties, instrument, floor, flatness, drawing_unit, site_unit};
  }
};

}  // namespace plain
