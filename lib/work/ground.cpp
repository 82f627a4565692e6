#include "work/ground.h"

#include "measure/decimal.h"
#include "report/ground_text.h"

#include <algorithm>
#include <fmt/format.h>

namespace deckmark {

namespace {

constexpr Length kFar = Length::metres(20000);  // further off, one factor is not what the job needs
constexpr int kDegrees = 10, kFactor = 10;  // decimals: 0.01 mm on the ellipsoid; factors to 1e-10
constexpr Length kNoticed = Length::millimetres(1);

}  // namespace

std::string_view north_word(const Job& job) { return job.ground.system ? "grid north" : "site north"; }

void look_at_ground(const Job& job, Found& found, Messages& messages) {
  const GroundJob& g = job.ground;
  if (!g.ground) return;
  for (const Point<Grid>& p : g.control) {
    const auto row = ground_row(*g.system, *g.ground, p, g.height);
    if (!row) {  // only where the system has no area of use that would have told
      messages.problem(Where::whole(job.file), "site.crs", Fault{"a control point that has no scale factor in " + g.system->code(), "control inside the projection", ""});
      return;
    }
    found.ground.rows.push_back(*row);
  }
  const Point<Site> base = job.control[g.base].at;
  double most = -1;
  for (std::size_t m = 0; m < found.placed.marks.size(); ++m) {
    const Vec<Site> v = found.placed.marks[m] - base;
    const double square = v.by.northing.metres() * v.by.northing.metres() + v.by.easting.metres() * v.by.easting.metres();
    if (square > most) {
      most = square;
      found.ground.farthest = m;
    }
  }
  const Length away = distance(base, found.placed.marks[found.ground.farthest]);
  if (away > kFar) {
    messages.doubt("far from the control", mark_where(job, found.overhead, found.ground.farthest, 0), mark_field(job, found.overhead, found.ground.farthest, 0),
                   fmt::format("{} lies {} km from {}: {}", job.marks.names[found.ground.farthest], fixed(away.metres() / 1000, 1), job.control[g.base].name,
                               found.placed.baseline ? "are the ties in ground coordinates about that point?" : "without ties x and y are taken for easting and northing"));
    return;
  }
  found.ground.placed = true;
  const auto check = [&](const Point<Grid>& to, std::string_view name) {
    const auto row = ground_row(*g.system, *g.ground, to, g.height);
    if (!row) return;
    const GroundCheck c = check_ground(*g.system, found.ground.rows[g.base], *row, g.height);
    found.ground.ways.push_back({std::string(name), c});
    if (abs(c.ground - c.geodesic) > kNoticed)
      messages.doubt("one factor", job.keys.find("site.crs")->second, "site.ground_at",
                     fmt::format("one factor for the whole job leaves {} mm between {} and {}: the scale of the projection changes that much; a point nearer to the middle of the work leaves less",
                                 fixed(abs(c.ground - c.geodesic).millimetres(), 1), job.control[g.base].name, name));
  };
  std::size_t last = g.base;
  for (std::size_t i = 0; i < job.control.size(); ++i)
    if (distance(job.control[i].at, base) > distance(job.control[last].at, base)) last = i;
  if (last != g.base) check(g.control[last], job.control[last].name);
  check(g.ground->to_grid(found.placed.marks[found.ground.farthest]), job.marks.names[found.ground.farthest]);
}

std::unique_ptr<WrittenTable> ground_table(const Job& job, const Found& found) {
  const LengthUnit unit = *job.list.unit;
  const auto head = [unit](std::string_view name) { return fmt::format("{} ({})", name, unit_word(unit)); };
  return written_table(TableStyle{}, {"point", head("grid_northing"), head("grid_easting"), "latitude", "longitude", "convergence", "point_scale", "elevation_factor",
                                      "combined_factor", head("ground_northing"), head("ground_easting")},
                       found.ground.rows.size(), [&job, &found, unit, decimals = table_decimals(unit)](auto& sink, std::size_t i) {
                         const GroundRow& r = found.ground.rows[i];
                         const auto put = [&](Length v) { sink.fixed(in_unit(v, unit), decimals); };
                         sink.text(job.control[i].name);
                         put(r.grid.at.northing);
                         put(r.grid.at.easting);
                         sink.fixed(r.place.latitude.degrees(), kDegrees);
                         sink.fixed(r.place.longitude.degrees(), kDegrees);
                         sink.fixed(r.convergence.degrees(), kDegrees);
                         sink.fixed(r.point_scale, kFactor);
                         sink.fixed(r.elevation_factor, kFactor);
                         sink.fixed(r.combined_factor, kFactor);
                         put(r.ground.at.northing);
                         put(r.ground.at.easting);
                       });
}

std::string ground_part(const Job& job, const Found& found) {
  const GroundJob& g = job.ground;
  if (!g.ground) return "";
  const SimilarityParts& parts = found.placed.fit->site_from_drawing.parts();
  const double up = parts.mirrored ? 90 : -90;
  GroundFacts facts{g.system.get(), g.ground->combined_factor(), job.control[g.base].name, g.height, {}, found.ground.rows, g.base, {}, std::nullopt,
                    parts.azimuth_x, parts.azimuth_x + Angle::degrees(up), job.list.frame == ListFrame::grid, job.site_unit};
  for (const ControlPoint& c : job.control) facts.names.push_back(c.name);
  for (const auto& [name, check] : found.ground.ways) facts.ways.push_back({name, check.ground, check.geodesic});
  if (found.ground.placed) {
    const std::size_t m = found.ground.farthest;
    const Length away = distance(job.control[g.base].at, found.placed.marks[m]);
    facts.farthest = GroundFacts::Farthest{found.issue.numbers[m], job.marks.names[m], away, away * (g.ground->combined_factor() - 1)};
  }
  return ground_text(facts);
}

}  // namespace deckmark
