#include "job/grid_rows.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "measure/decimal.h"
#include "measure/length_text.h"

namespace deckmark {

namespace {

bool is_survey(LengthUnit u) { return u == LengthUnit::survey_foot; }
bool is_foot(LengthUnit u) {
  return u == LengthUnit::foot || u == LengthUnit::feet_inches || u == LengthUnit::inch;
}
bool feet_differ(LengthUnit a, LengthUnit b) {
  return (is_survey(a) && is_foot(b)) || (is_foot(a) && is_survey(b));
}

std::string degrees_words(Angle a, int decimals) { return fixed(a.degrees(), decimals); }

/// So many that a place outside an area is not printed as its edge.
int decimals_apart(const Geographic& p, const AreaOfUse& a) {
  const auto same = [](Angle x, Angle y, int decimals) {
    return std::abs(wrapped(x - y).degrees()) < std::pow(10.0, -decimals);
  };
  const bool latitude = p.latitude < a.south || p.latitude > a.north;
  int decimals = 2;
  while (decimals < 7 &&
         (latitude ? same(p.latitude, a.south, decimals) || same(p.latitude, a.north, decimals)
                   : same(p.longitude, a.west, decimals) || same(p.longitude, a.east, decimals)))
    ++decimals;
  return decimals;
}

std::string unit_cure(LengthUnit u) {
  return fmt::format(
      "{} for these numbers (unit = \"{}\" under [site], or in the header): so the point lies inside",
      unit_word(u), unit_word(u));
}

}  // namespace

std::string place_words(const Geographic& p, int decimals) {
  return fmt::format("latitude {}, longitude {}", degrees_words(p.latitude, decimals),
                     degrees_words(p.longitude, decimals));
}

std::string area_words(const GridSystem& system, int decimals) {
  if (!system.area()) return system.code();
  const AreaOfUse& a = *system.area();
  const auto words = [decimals](Angle x) { return degrees_words(x, decimals); };
  return fmt::format("{} (latitude {} to {}, longitude {} to {})", system.code(), words(a.south),
                     words(a.north), words(a.west), words(a.east));
}

OutsideWords outside_words(const GridSystem& system, const Geographic& p) {
  const int decimals = system.area() ? decimals_apart(p, *system.area()) : 2;
  return {place_words(p, decimals),
          fmt::format("a place inside the area of use of {}", area_words(system, decimals))};
}

std::string edge_words(const GridSystem& system, const Geographic& p) {
  const Length off = system.beyond_area(p);
  return off < Length::metres(1000) ? fmt::format("{} m outside the edge", fixed(off.metres(), 0))
                                    : fmt::format("{} km outside the edge", fixed(off.metres() / 1000, 1));
}

std::string near_edge_cure(const GridSystem& system, const Geographic& p) {
  return fmt::format(
      "the crs of the zone next to it; the point lies {}. Where this one is used across its edge, crs may be "
      "its PROJ string, which states no area",
      edge_words(system, p));
}

std::string local_control_cure(const GridSystem& system) {
  return fmt::format(
      "no crs under [site] (nor ground_at, elevation, geographic): numbers so small look like local ones, "
      "which need no projection; or control in {}",
      system.code());
}

void refuse_two_feet(const LengthCells& first, const LengthCells& second, LengthUnit unit,
                     Messages& messages) {
  const auto a = first.header_unit(), b = second.header_unit();
  // Beside a job in feet the one that differs from it is told already.
  if (!a || !b || is_survey(unit) || is_foot(unit) || !feet_differ(*a, *b)) return;
  messages.problem(second.header(), second.name(),
                   Fault{fmt::format("unit {} beside {} ({})", unit_word(*b), first.name(), unit_word(*a)),
                         "one foot for both",
                         fmt::format("{} ({}) or {} ({}) for both", second.name(), unit_word(*a),
                                     first.name(), unit_word(*b))});
}

std::optional<Fault> other_foot(LengthUnit unit, const GridSystem& system) {
  if (!feet_differ(unit, system.unit())) return std::nullopt;
  const std::string_view word = unit_word(system.unit());
  return Fault{fmt::format("unit {}", unit_word(unit)),
               fmt::format("{}, the foot of {}, or another unit than a foot", word, system.code()),
               fmt::format("\"{}\"", word)};
}

GridRows::GridRows(const GroundJob& ground, const LengthCells& northing, const LengthCells& easting,
                   LengthUnit unit, Messages& messages)
    : ground_(&ground), northing_(northing), easting_(easting), unit_(unit) {
  if (!ground.system) return;
  if (const auto header = northing.header_unit()) unit_ = *header;
  for (const LengthCells& column : {northing, easting}) {
    const auto header = column.header_unit();
    if (header && feet_differ(*header, ground.system->unit()))
      messages.problem(
          column.header(), column.name(),
          Fault{fmt::format("unit {}", unit_word(*header)),
                fmt::format("{}, the foot of {}", unit_word(ground.system->unit()), ground.system->code()),
                fmt::format("{} ({})", column.name(), unit_word(ground.system->unit()))});
  }
}

bool GridRows::has_other_foot(const Row& row, const LengthCells& column, Messages& messages) const {
  const LengthUnit own = ground_->system->unit();
  const std::string_view text = column.text(row);
  if (own == LengthUnit::metre || text.find_first_not_of("0123456789.,-+ ") == std::string_view::npos)
    return false;
  const auto reading = read_length(text, LengthForm{unit_, column.table().decimal_comma(), false});
  if (!reading || !reading->stated || !feet_differ(*reading->stated, own)) return false;
  column.problem(
      row,
      Fault{in_quotes(text), fmt::format("{}, the foot of {}", unit_word(own), ground_->system->code()),
            fmt::format("the number in {}", unit_word(own))},
      messages);
  return true;
}

std::string GridRows::cure(const Point<Grid>& p, const std::optional<Geographic>& place,
                           bool is_control) const {
  const OutsideGrid outside = ground_->system->why_outside(p, unit_);
  const auto& meant = outside.meant;
  const auto numbers = [&](std::string_view why) {
    return fmt::format("northing {}, easting {} ({}): so the point lies inside",
                       fixed(in_unit(meant->at.northing, unit_), 3),
                       fixed(in_unit(meant->at.easting, unit_), 3), why);
  };
  switch (outside.reason) {
    case OutsideReason::zero:
      return "an empty table cell or no such row: 0, 0 stands for a missing value";
    case OutsideReason::exchanged:
      return "northing and easting the other way round: so the point lies inside";
    case OutsideReason::near_edge:
      return near_edge_cure(*ground_->system, *place);
    case OutsideReason::sign:
      return numbers("southings and westings are negative here");
    case OutsideReason::zone_number:
      return numbers(abs(meant->at.easting) > abs(p.at.easting) ? "with the number of the zone in front"
                                                                : "without the number of the zone in front");
    case OutsideReason::as_metres:
      return unit_cure(LengthUnit::metre);
    case OutsideReason::as_feet:
      return unit_cure(LengthUnit::foot);
    case OutsideReason::as_survey_feet:
      return unit_cure(LengthUnit::survey_foot);
    case OutsideReason::local:
      return is_control ? local_control_cure(*ground_->system)
                        : "coordinates in the system of the control: numbers so small look like local ones";
    case OutsideReason::other_zone:
      return "the crs of another zone: latitude fits this one, longitude does not";
    case OutsideReason::unknown:
      break;
  }
  for (const bool north : {true, false}) {
    const Point<Grid> other{{.northing = north ? -p.at.northing : p.at.northing,
                             .easting = north ? p.at.easting : -p.at.easting}};
    const auto there = ground_->system->geographic(other);
    if (there && ground_->system->covers(*there))
      return fmt::format("another sign of the {}: so the point lies inside", north ? "northing" : "easting");
  }
  return "coordinates and crs from one control sheet";
}

std::optional<Point<Grid>> GridRows::check(const Row& row, const Point<Grid>& p, bool is_control,
                                           Messages& messages) const {
  const GridSystem& system = *ground_->system;
  const auto row_where = [&] { return Where::in(northing_.table().source(), row.begin()); };
  const bool north_foot = has_other_foot(row, northing_, messages),
             east_foot = has_other_foot(row, easting_, messages);
  if (north_foot || east_foot) return std::nullopt;
  const auto place = system.geographic(p);
  if (place && system.covers(*place)) return p;
  const auto words =
      place ? outside_words(system, *place)
            : OutsideWords{"nowhere on the ellipsoid",
                           fmt::format("a place inside the area of use of {}", area_words(system))};
  const std::string stated =
      fmt::format("northing {}, easting {} {}", fixed(in_unit(p.at.northing, unit_), 3),
                  fixed(in_unit(p.at.easting, unit_), 3), unit_word(unit_));
  // Work may reach across the edge of an area that its control lies inside.
  if (!is_control && place && system.why_outside(p, unit_).reason == OutsideReason::near_edge) {
    messages.doubt("outside the area of use", row_where(), "row",
                   fmt::format("{}: {}, {} of the area of use of {}", stated, words.lies,
                               edge_words(system, *place), system.code()));
    return p;
  }
  messages.problem(
      row_where(), "row",
      Fault{fmt::format("{}: {}", stated, words.lies), words.expected, cure(p, place, is_control)});
  return std::nullopt;
}

std::optional<Point<Site>> GridRows::to_ground(const Row& row, Length northing, Length easting,
                                               Messages& messages) const {
  // Where the system or the control has a problem, that is told; rows are taken as they are.
  if (!ground_->system) return Point<Site>{{.northing = northing, .easting = easting}};
  const auto p = check(row, {{.northing = northing, .easting = easting}}, false, messages);
  if (!p) return std::nullopt;
  if (!ground_->ground) return Point<Site>{{.northing = northing, .easting = easting}};
  return ground_->ground->to_ground(*p);
}

}  // namespace deckmark
