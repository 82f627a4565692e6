#include "report/ground_text.h"

#include <fmt/format.h>

#include <algorithm>

#include "measure/angle_text.h"
#include "measure/decimal.h"
#include "report/pieces.h"
#include "report/words.h"

namespace deckmark {

namespace {

constexpr int kFactorDecimals = 9;
/// The least that a crew can see, in the unit's small words.
constexpr Length kLeastMetric = Length::millimetres(0.1), kLeastInches = Length::inches(0.01);

bool is_metric(LengthUnit u) {
  return u == LengthUnit::metre || u == LengthUnit::millimetre || u == LengthUnit::centimetre;
}

std::string small(Length value, LengthUnit unit) {
  return is_metric(unit) ? fixed(value.millimetres(), 1) + " mm"
                         : fixed(in_unit(value, LengthUnit::inch), 2) + " in";
}

std::string coordinate(Length value, LengthUnit unit) {
  return fixed(in_unit(value, unit), unit == LengthUnit::millimetre ? 0 : 3);
}

std::string north_words(const GroundFacts& f) {
  const Angle c = f.rows[f.base_row].convergence;
  std::string text =
      fmt::format("  grid north is {} {} of true north at {}\n", dms_text(c < Angle::degrees(0) ? -c : c, 1),
                  c < Angle::degrees(0) ? "west" : "east", f.base);
  if (!f.azimuth_x || !f.azimuth_y) return text;
  text += fmt::format("  +X runs at azimuth {} from grid north, {} from true north\n",
                      dms_text(*f.azimuth_x, 1), dms_text(*f.azimuth_x + c, 1));
  text += fmt::format("  drawing north (+Y) lies at azimuth {} from grid north\n", dms_text(*f.azimuth_y, 1));
  return text;
}

std::string table_of(const GroundFacts& f) {
  const std::string_view word = unit_word(f.unit);
  std::string text = fmt::format("\n  {} {:>15} {:>15} {:>15} {:>15}\n", column("control", 12),
                                 "grid northing", "grid easting", "ground northing", "ground easting");
  text += fmt::format("  {} {:>15} {:>15} {:>15} {:>15}\n", column("", 12), word, word, word, word);
  constexpr std::size_t kTold = 40;
  for (std::size_t i = 0; i < f.rows.size() && i < kTold; ++i) {
    const GroundRow& r = f.rows[i];
    text += fmt::format("  {} {:>15} {:>15} {:>15} {:>15}\n", column(f.names[i], 12),
                        coordinate(r.grid.at.northing, f.unit), coordinate(r.grid.at.easting, f.unit),
                        coordinate(r.ground.at.northing, f.unit), coordinate(r.ground.at.easting, f.unit));
  }
  if (f.rows.size() > kTold) text += fmt::format("  and {} more: see ground.csv\n", f.rows.size() - kTold);
  return text;
}

std::string ignored_words(const GroundFacts& f) {
  if (!f.azimuth_x) return "  no hanger has a place on site yet, so nothing is said of them here\n";
  if (!f.farthest) return "  the hangers do not lie near the control, so nothing is said of them here\n";
  const GroundFacts::Farthest& far = *f.farthest;
  std::string text = fmt::format(
      "  If the factor were ignored, {} ({}), the hanger farthest from {},\n  {} away, would be set ",
      far.number, far.point, f.base, length_words(far.away, f.unit));
  const Length least = is_metric(f.unit) ? kLeastMetric : kLeastInches;
  if (abs(far.by) < least) return text + fmt::format("less than {} from its place.\n", small(least, f.unit));
  return text + fmt::format("{} too {} {}.\n", small(abs(far.by), f.unit),
                            far.by < Length::metres(0) ? "near" : "far from", f.base);
}

}  // namespace

std::string ground_text(const GroundFacts& f) {
  const GroundRow& base = f.rows[f.base_row];
  std::string text =
      fmt::format("GROUND: control of {} brought to ground scale about {}\n", f.system->code(), f.base);
  text += fmt::format("  {}, in {}\n", f.system->name(), unit_word(f.system->unit()));
  text += fmt::format("  the work lies {} above the ellipsoid\n", length_words(f.height, f.unit));
  text += fmt::format("  point scale {} x elevation factor {} = combined {}\n",
                      fixed(base.point_scale, kFactorDecimals), fixed(base.elevation_factor, kFactorDecimals),
                      fixed(f.combined_factor, kFactorDecimals));
  text += fmt::format(
      "  the elevation factor is that of the mean radius; north to south or east to\n  west the true one "
      "differs by "
      "up to {} ppm\n",
      fixed(f.system->direction_spread(base.place, f.height) * 1e6, 2));
  const Length hundred = from_unit(
      100, f.unit == LengthUnit::millimetre || f.unit == LengthUnit::centimetre ? LengthUnit::metre : f.unit);
  text += fmt::format(
      "  so 100 {} on the ground are {} {} in the grid\n", is_metric(f.unit) ? "m" : unit_word(f.unit),
      small(abs(hundred * (f.combined_factor - 1)), f.unit), f.combined_factor < 1 ? "less" : "more");
  text += fmt::format("  at {} both are the same; ground = {} + (grid - {}) / combined\n", f.base, f.base,
                      f.base);
  text += north_words(f) + table_of(f) + "\n" + ignored_words(f);
  if (!f.ways.empty())
    text += fmt::format("\n  {} {:>14} {:>14} {:>10}\n", column("distance, as a check", 34), "on the ground",
                        "by ellipsoid", "apart");
  for (const GroundWay& w : f.ways)
    text += fmt::format("  {} {:>14} {:>14} {:>10}\n",
                        column(fmt::format("{} to {}, {}", w.from, w.to, unit_word(f.unit)), 34),
                        coordinate(w.ground, f.unit), coordinate(w.geodesic, f.unit),
                        small(abs(w.ground - w.geodesic), f.unit));
  text += f.lists_in_grid
              ? "  the lists are in GRID coordinates; every other table is in ground coordinates\n"
              : "  lists and tables are in ground coordinates\n";
  return text;
}

}  // namespace deckmark
