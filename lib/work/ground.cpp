#include "work/ground.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "measure/decimal.h"
#include "report/ground_text.h"

namespace deckmark {

namespace {

constexpr Length kFar = Length::metres(20000);  // further off, one factor is not what the job needs
constexpr int kDegrees = 10, kFactor = 10;      // decimals: 0.01 mm on the ellipsoid; factors to 1e-10
constexpr Length kNoticed = Length::millimetres(1);
constexpr Length kMore =
    Length::millimetres(0.05);  // a third distance is shown where it says more than two do

/// The outermost of the places, in eight directions; indexes, each once.
template <class At>
std::vector<std::size_t> outermost(std::size_t count, const At& at) {
  constexpr std::array<std::pair<double, double>, 8> kDirections{
      {{1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}, {1, -1}}};
  std::array<std::size_t, 8> best{};
  std::array<double, 8> reach{};
  for (std::size_t i = 0; i < count; ++i) {
    const Point<Site>& p = at(i);
    for (std::size_t d = 0; d < best.size(); ++d) {
      const double r =
          kDirections[d].first * p.at.northing.metres() + kDirections[d].second * p.at.easting.metres();
      if (i == 0 || r > reach[d]) reach[d] = r, best[d] = i;
    }
  }
  std::vector<std::size_t> out(best.begin(), best.end());
  std::ranges::sort(out);
  out.erase(std::unique(out.begin(), out.end()), out.end());
  return count == 0 ? std::vector<std::size_t>{} : out;
}

/// Ground distances against the ellipsoid: from the base to the farthest control point and hanger, and
/// between any two of the outermost, where the scale of the projection differs most from that of the base.
void check_distances(const Job& job, Found& found, Messages& messages) {
  const GroundJob& g = job.ground;
  struct End {
    std::string_view name;
    GroundRow row;
  };
  std::vector<End> ends{{job.control[g.base].name, found.ground.rows[g.base]}};
  const auto control = [&](std::size_t i) -> const Point<Site>& { return job.control[i].at; };
  for (const std::size_t i : outermost(job.control.size(), control))
    if (i != g.base) ends.push_back({job.control[i].name, found.ground.rows[i]});
  const auto add_mark = [&](std::size_t m) {
    if (const auto row = ground_row(*g.system, *g.ground, g.ground->to_grid(found.placed.marks[m]), g.height))
      ends.push_back({job.marks.names[m], *row});
  };
  const std::size_t controls = ends.size();
  if (!found.placed.marks.empty()) add_mark(found.ground.farthest);
  for (const std::size_t m : outermost(found.placed.marks.size(), [&](std::size_t i) -> const Point<Site>& {
         return found.placed.marks[i];
       }))
    if (m != found.ground.farthest) add_mark(m);

  const auto way = [&](std::size_t i, std::size_t j) {
    return GroundFound::Way{std::string(ends[i].name), std::string(ends[j].name),
                            check_ground(*g.system, ends[i].row, ends[j].row, g.height)};
  };
  const auto left = [](const GroundFound::Way& w) { return abs(w.check.ground - w.check.geodesic); };
  std::optional<GroundFound::Way> worst, far_control;
  for (std::size_t i = 0; i < ends.size(); ++i)
    for (std::size_t j = i + 1; j < ends.size(); ++j) {
      const GroundFound::Way w = way(i, j);
      if (i == 0 && j < controls && (!far_control || w.check.ground > far_control->check.ground))
        far_control = w;
      if (!worst || left(w) > left(*worst)) worst = w;
    }
  if (far_control) found.ground.ways.push_back(*far_control);
  if (controls < ends.size()) found.ground.ways.push_back(way(0, controls));
  if (!worst) return;
  if (std::ranges::all_of(found.ground.ways,
                          [&](const GroundFound::Way& w) { return left(*worst) > left(w) + kMore; }))
    found.ground.ways.push_back(*worst);
  if (left(*worst) > kNoticed)
    messages.doubt(
        "one factor", job.keys.find("site.crs")->second, "site.ground_at",
        fmt::format("one factor for the whole job leaves {} mm between {} and {}: the scale of the "
                    "projection changes that much; a point nearer to the middle of the work leaves less",
                    fixed(left(*worst).millimetres(), 1), worst->from, worst->to));
}

}  // namespace

std::string_view north_word(const Job& job) { return job.ground.system ? "grid north" : "site north"; }

void look_at_ground(const Job& job, Found& found, Messages& messages) {
  const GroundJob& g = job.ground;
  if (!g.ground) return;
  for (const Point<Grid>& p : g.control) {
    const auto row = ground_row(*g.system, *g.ground, p, g.height);
    if (!row) {  // only where the system has no area of use that would have told
      messages.problem(Where::whole(job.file), "site.crs",
                       Fault{"a control point that has no scale factor in " + g.system->code(),
                             "control inside the projection", ""});
      return;
    }
    found.ground.rows.push_back(*row);
  }
  if (found.placed.marks.empty()) {
    check_distances(job, found, messages);
    return;
  }
  const Point<Site> base = job.control[g.base].at;
  double most = -1;
  for (std::size_t m = 0; m < found.placed.marks.size(); ++m) {
    const Vec<Site> v = found.placed.marks[m] - base;
    const double square =
        v.by.northing.metres() * v.by.northing.metres() + v.by.easting.metres() * v.by.easting.metres();
    if (square > most) {
      most = square;
      found.ground.farthest = m;
    }
  }
  const Length away = distance(base, found.placed.marks[found.ground.farthest]);
  if (away > kFar) {
    const auto there = ground_row(*g.system, *g.ground,
                                  g.ground->to_grid(found.placed.marks[found.ground.farthest]), g.height);
    const std::string factor =
        there
            ? fmt::format("; the factor of {} is {} ppm off there", job.control[g.base].name,
                          fixed(std::abs(g.ground->combined_factor() / there->combined_factor - 1) * 1e6, 1))
            : "";
    messages.doubt(
        "far from the control", mark_where(job, found.overhead, found.ground.farthest, 0),
        mark_field(job, found.overhead, found.ground.farthest, 0),
        fmt::format("{} lies {} km from {}{}: {}", job.marks.names[found.ground.farthest],
                    fixed(away.metres() / 1000, 1), job.control[g.base].name, factor,
                    found.placed.baseline ? "are the ties in ground coordinates about that point?"
                                          : "without ties x and y are taken for easting and northing"));
    return;
  }
  found.ground.placed = true;
  check_distances(job, found, messages);
}

std::unique_ptr<WrittenTable> ground_table(const Job& job, const Found& found) {
  const LengthUnit unit = *job.list.unit;
  const auto head = [unit](std::string_view name) { return fmt::format("{} ({})", name, unit_word(unit)); };
  return written_table(
      TableStyle{},
      {"point", head("grid_northing"), head("grid_easting"), "latitude", "longitude", "convergence",
       "point_scale", "elevation_factor", "combined_factor", head("ground_northing"), head("ground_easting")},
      found.ground.rows.size(),
      [&job, &found, unit, decimals = table_decimals(unit)](auto& sink, std::size_t i) {
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
  GroundFacts facts{g.system.get(),
                    g.ground->combined_factor(),
                    job.control[g.base].name,
                    g.height,
                    {},
                    found.ground.rows,
                    g.base,
                    {},
                    std::nullopt,
                    std::nullopt,
                    std::nullopt,
                    job.list.frame == ListFrame::grid,
                    job.site_unit};
  if (found.placed.fit) {
    const SimilarityParts& parts = found.placed.fit->site_from_drawing.parts();
    facts.azimuth_x = parts.azimuth_x;
    facts.azimuth_y = parts.azimuth_x + Angle::degrees(parts.mirrored ? 90 : -90);
  }
  for (const ControlPoint& c : job.control) facts.names.push_back(c.name);
  for (const auto& [from, to, check] : found.ground.ways)
    facts.ways.push_back({from, to, check.ground, check.geodesic});
  if (found.ground.placed) {
    const std::size_t m = found.ground.farthest;
    const Length away = distance(job.control[g.base].at, found.placed.marks[m]);
    facts.farthest = GroundFacts::Farthest{found.issue.numbers[m], job.marks.names[m], away,
                                           away * (g.ground->combined_factor() - 1)};
  }
  return ground_text(facts);
}

}  // namespace deckmark
