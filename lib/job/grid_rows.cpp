#include "job/grid_rows.h"

#include "measure/decimal.h"
#include "measure/length_text.h"

#include <algorithm>
#include <fmt/format.h>

namespace deckmark {

namespace {

bool is_survey(LengthUnit u) { return u == LengthUnit::survey_foot; }
bool is_foot(LengthUnit u) { return u == LengthUnit::foot || u == LengthUnit::feet_inches || u == LengthUnit::inch; }
bool feet_differ(LengthUnit a, LengthUnit b) { return (is_survey(a) && is_foot(b)) || (is_foot(a) && is_survey(b)); }

std::string degrees_words(Angle a) { return fixed(a.degrees(), 2); }

std::string unit_cure(LengthUnit u) { return fmt::format("{} for these numbers (unit = \"{}\" under [site], or in the header): so the point lies inside", unit_word(u), unit_word(u)); }

std::string cure(OutsideReason reason) {
  switch (reason) {
    case OutsideReason::zero: return "an empty table cell or no such row: 0, 0 stands for a missing value";
    case OutsideReason::exchanged: return "northing and easting the other way round: so the point lies inside";
    case OutsideReason::sign: return "another sign";
    case OutsideReason::as_metres: return unit_cure(LengthUnit::metre);
    case OutsideReason::as_feet: return unit_cure(LengthUnit::foot);
    case OutsideReason::as_survey_feet: return unit_cure(LengthUnit::survey_foot);
    case OutsideReason::local: return "frame = \"ground\" for this table: numbers so small look like local ones";
    case OutsideReason::other_zone: return "the crs of another zone: latitude fits this one, longitude does not";
    case OutsideReason::unknown: break;
  }
  return "coordinates and crs from one control sheet";
}

}  // namespace

std::string place_words(const Geographic& p) { return fmt::format("latitude {}, longitude {}", degrees_words(p.latitude), degrees_words(p.longitude)); }

std::string area_words(const GridSystem& system) {
  if (!system.area()) return system.code();
  const AreaOfUse& a = *system.area();
  return fmt::format("{} (latitude {} to {}, longitude {} to {})", system.code(), degrees_words(a.south), degrees_words(a.north), degrees_words(a.west), degrees_words(a.east));
}

void refuse_other_foot(SectionReader& section, std::string_view key, LengthUnit unit, const GridSystem& system) {
  if (!feet_differ(unit, system.unit())) return;
  const std::string_view word = unit_word(system.unit());
  section.problem(key, Fault{fmt::format("unit {}", unit_word(unit)), fmt::format("{}, the foot of {}, or another unit than a foot", word, system.code()), fmt::format("\"{}\"", word)});
}

GridRows::GridRows(const GroundJob& ground, const Table& table, std::size_t northing, std::size_t easting, LengthUnit unit, Messages& messages)
    : ground_(&ground), table_(&table), northing_(northing), easting_(easting), unit_(unit) {
  if (!ground.system) return;
  for (const std::size_t column : {northing, easting}) {
    const auto header = table.header_unit(column);
    if (!header) continue;
    if (column == northing) unit_ = *header;
    if (feet_differ(*header, ground.system->unit()))
      messages.problem(Where::in(table.source(), table.header_offset(column)), table.spec().columns[column].name,
                       Fault{fmt::format("unit {}", unit_word(*header)), fmt::format("{}, the foot of {}", unit_word(ground.system->unit()), ground.system->code()),
                             fmt::format("{} ({})", table.spec().columns[column].name, unit_word(ground.system->unit()))});
  }
}

bool GridRows::has_other_foot(const Row& row, std::size_t column, Messages& messages) const {
  const LengthUnit own = ground_->system->unit();
  const std::string_view text = row.text(column);
  if (own == LengthUnit::metre || text.find_first_not_of("0123456789.,-+ ") == std::string_view::npos) return false;
  const auto reading = read_length(text, LengthForm{unit_, table_->decimal_comma(), false});
  if (!reading || !reading->stated || !feet_differ(*reading->stated, own)) return false;
  messages.problem(Where::in(table_->source(), row.offset(column)), table_->spec().columns[column].name,
                   Fault{in_quotes(text), fmt::format("{}, the foot of {}", unit_word(own), ground_->system->code()), fmt::format("the number in {}", unit_word(own))});
  return true;
}

std::optional<Point<Grid>> GridRows::check(const Row& row, const Point<Grid>& p, Messages& messages) const {
  const GridSystem& system = *ground_->system;
  const bool north_foot = has_other_foot(row, northing_, messages), east_foot = has_other_foot(row, easting_, messages);
  if (north_foot || east_foot) return std::nullopt;
  const auto place = system.geographic(p);
  if (place && system.covers(*place)) return p;
  const std::string lies = place ? place_words(*place) : "nowhere on the ellipsoid";
  messages.problem(Where::in(table_->source(), row.begin()), "row",
                   Fault{fmt::format("northing {}, easting {} {}: {}", fixed(in_unit(p.at.northing, unit_), 3), fixed(in_unit(p.at.easting, unit_), 3), unit_word(unit_), lies),
                         fmt::format("a place inside the area of use of {}", area_words(system)), cure(system.why_outside(p, unit_))});
  return std::nullopt;
}

std::optional<Point<Site>> GridRows::to_ground(const Row& row, Length northing, Length easting, Messages& messages) const {
  // Where the system or the control has a problem, that is told; rows are taken as they are.
  if (!ground_->system) return Point<Site>{{.northing = northing, .easting = easting}};
  const auto p = check(row, {{.northing = northing, .easting = easting}}, messages);
  if (!p) return std::nullopt;
  if (!ground_->ground) return Point<Site>{{.northing = northing, .easting = easting}};
  return ground_->ground->to_ground(*p);
}

}  // namespace deckmark
