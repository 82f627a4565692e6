#include "stages/ground.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <span>
#include <utility>

#include "measure/decimal.h"

namespace deckmark {

namespace {

constexpr Length kFar = Length::metres(20000);  // further off, one factor is not what the job needs
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

/// A place that stands in a check.
struct End {
  std::string_view name;
  GroundRow row;
};
/// Control first, that at the base before the others; then marks, the farthest before the others.
struct Ends {
  std::vector<End> all;
  std::size_t controls = 0;
};

Ends ends_of(const GroundStated& stated, const JobMarks* marks, std::span<const Point<Site>> site,
             const GroundFound& found) {
  const GroundJob& g = stated.ground;
  Ends ends;
  ends.all.push_back({stated.control[g.base].name, found.rows[g.base]});
  const auto control = [&](std::size_t i) -> const Point<Site>& { return stated.control[i].at; };
  for (const std::size_t i : outermost(stated.control.size(), control))
    if (i != g.base) ends.all.push_back({stated.control[i].name, found.rows[i]});
  ends.controls = ends.all.size();
  const auto add_mark = [&](std::size_t m) {
    if (const auto row = ground_row(*g.system, *g.ground, g.ground->to_grid(site[m]), g.height))
      ends.all.push_back({(*marks)->names[m], *row});
  };
  if (!marks || site.empty()) return ends;
  add_mark(found.farthest);
  for (const std::size_t m :
       outermost(site.size(), [&](std::size_t i) -> const Point<Site>& { return site[i]; }))
    if (m != found.farthest) add_mark(m);
  return ends;
}

/// Ground distances against the ellipsoid: from the base to the farthest control point and hanger, and
/// between any two of the outermost, where the scale of the projection differs most from that of the base.
void check_distances(const GroundStated& stated, const Ends& ends, GroundFound& found, Messages& told) {
  const GroundJob& g = stated.ground;
  const auto way = [&](std::size_t i, std::size_t j) {
    return GroundFound::Way{std::string(ends.all[i].name), std::string(ends.all[j].name),
                            check_ground(*g.system, ends.all[i].row, ends.all[j].row, g.height)};
  };
  const auto left = [](const GroundFound::Way& w) { return abs(w.check.ground - w.check.geodesic); };
  std::optional<GroundFound::Way> worst, far_control;
  for (std::size_t i = 0; i < ends.all.size(); ++i)
    for (std::size_t j = i + 1; j < ends.all.size(); ++j) {
      const GroundFound::Way w = way(i, j);
      if (i == 0 && j < ends.controls && (!far_control || w.check.ground > far_control->check.ground))
        far_control = w;
      if (!worst || left(w) > left(*worst)) worst = w;
    }
  if (far_control) found.ways.push_back(*far_control);
  if (ends.controls < ends.all.size()) found.ways.push_back(way(0, ends.controls));
  if (!worst) return;
  if (std::ranges::all_of(found.ways,
                          [&](const GroundFound::Way& w) { return left(*worst) > left(w) + kMore; }))
    found.ways.push_back(*worst);
  if (left(*worst) > kNoticed)
    told.doubt(
        "one factor", stated.crs, "site.ground_at",
        fmt::format("one factor for the whole job leaves {} mm between {} and {}: the scale of the "
                    "projection changes that much; a point nearer to the middle of the work leaves less",
                    fixed(left(*worst).millimetres(), 1), worst->from, worst->to));
}

/// The control's rows; false where one has no factor (told).
bool find_rows(const GroundStated& stated, GroundFound& found, Messages& told) {
  const GroundJob& g = stated.ground;
  for (const Point<Grid>& p : g.control) {
    const auto row = ground_row(*g.system, *g.ground, p, g.height);
    if (!row) {  // only where the system has no area of use that would have told
      told.problem(stated.job, "site.crs",
                   Fault{"a control point that has no scale factor in " + g.system->code(),
                         "control inside the projection", ""});
      return false;
    }
    found.rows.push_back(*row);
  }
  return true;
}

std::size_t farthest_from(const Point<Site>& base, std::span<const Point<Site>> site) {
  std::size_t farthest = 0;
  double most = -1;
  for (std::size_t m = 0; m < site.size(); ++m) {
    const Vec<Site> v = site[m] - base;
    const double square =
        v.by.northing.metres() * v.by.northing.metres() + v.by.easting.metres() * v.by.easting.metres();
    if (square > most) most = square, farthest = m;
  }
  return farthest;
}

/// A drawing that lies nowhere near the control.
void tell_far(const GroundStated& stated, const JobMarks& marks, const Placed& placed, std::size_t farthest,
              Length away, Messages& told) {
  const GroundJob& g = stated.ground;
  const std::string& base = stated.control[g.base].name;
  const auto there = ground_row(*g.system, *g.ground, g.ground->to_grid(placed.marks[farthest]), g.height);
  const std::string factor =
      there ? fmt::format("; the factor of {} is {} ppm off there", base,
                          fixed(std::abs(g.ground->combined_factor() / there->combined_factor - 1) * 1e6, 1))
            : "";
  told.doubt("far from the control", marks.where(farthest), marks.field(farthest),
             fmt::format("{} lies {} km from {}{}: {}", marks->names[farthest],
                         fixed(away.metres() / 1000, 1), base, factor,
                         placed.baseline ? "are the ties in ground coordinates about that point?"
                                         : "without ties x and y are taken for easting and northing"));
}

}  // namespace

std::string_view north_word(const GroundJob& ground) { return ground.system ? "grid north" : "site north"; }

Staged<GroundFound> look_at_ground(const GroundStated& stated, const JobMarks* marks, const Placed* placed) {
  if (!stated.ground.ground) return Staged<GroundFound>::absent();
  Messages told;
  GroundFound found;
  if (!find_rows(stated, found, told)) return Staged<GroundFound>::spoiled(std::move(told));
  std::span<const Point<Site>> site;
  if (marks && placed) site = placed->marks;
  if (marks && placed && !site.empty()) {
    const Point<Site>& base = stated.control[stated.ground.base].at;
    found.farthest = farthest_from(base, site);
    const Length away = distance(base, site[found.farthest]);
    found.placed = away <= kFar;
    if (!found.placed) tell_far(stated, *marks, *placed, found.farthest, away, told);
  }
  if (site.empty() || found.placed) check_distances(stated, ends_of(stated, marks, site, found), found, told);
  return Staged<GroundFound>::found(std::move(found), std::move(told));
}

}  // namespace deckmark
