#include "station/setup_facts.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "adjust/solve.h"
#include "adjust/statistics.h"
#include "station/plan_fit.h"

namespace deckmark {

namespace {

// Usual limits of geometry, common practice, no source: targets within 30 degrees, or two beyond 150, fix
// little.
constexpr double kNarrow = 30, kInLine = 150;
constexpr double kNearCircle = 0.1;  // distance from the circle over its radius
constexpr double kGlobalAlpha = 0.05;

struct Flat {
  double n, e;
};

// Smallest arc that holds all directions, degrees.
double arc_of(std::vector<double> azimuths) {
  std::sort(azimuths.begin(), azimuths.end());
  double gap = azimuths.front() + 360 - azimuths.back();
  for (std::size_t i = 1; i < azimuths.size(); ++i) gap = std::max(gap, azimuths[i] - azimuths[i - 1]);
  return 360 - gap;
}

struct Circle {
  Flat centre;
  double radius;
};
std::optional<Circle> circle_through(const Flat& a, const Flat& b, const Flat& c) {
  const double bn = b.n - a.n, be = b.e - a.e, cn = c.n - a.n, ce = c.e - a.e;
  const double twice = 2 * (bn * ce - be * cn);
  const double bb = bn * bn + be * be, cc = cn * cn + ce * ce;
  if (std::fabs(twice) < 1e-9 * (bb + cc)) return std::nullopt;
  const double n = (ce * bb - be * cc) / twice, e = (bn * cc - cn * bb) / twice;
  return Circle{{a.n + n, a.e + e}, std::hypot(n, e)};
}

double off(const Circle& c, const Flat& p) {
  return std::fabs(std::hypot(p.n - c.centre.n, p.e - c.centre.e) - c.radius) / c.radius;
}

// How near the station and all targets are to one circle: over its radius. The circle is that of the largest
// triangle.
std::optional<double> circle_distance(const std::vector<Flat>& targets, const Flat& station) {
  std::optional<Circle> best;
  double largest = 0;
  for (std::size_t i = 0; i < targets.size(); ++i)
    for (std::size_t j = i + 1; j < targets.size(); ++j)
      for (std::size_t k = j + 1; k < targets.size(); ++k) {
        const Flat &a = targets[i], &b = targets[j], &c = targets[k];
        const double area = std::fabs((b.n - a.n) * (c.e - a.e) - (b.e - a.e) * (c.n - a.n));
        if (area <= largest) continue;
        largest = area;
        best = circle_through(a, b, c);
      }
  if (!best) return std::nullopt;
  double out = off(*best, station);
  for (const Flat& t : targets) out = std::max(out, off(*best, t));
  return out;
}

struct Geometry {
  std::vector<Flat> targets;  // from the station, each once
  bool distances = false;
};

void add_geometry(std::vector<SetupFact>& facts, const Geometry& g) {
  std::vector<double> azimuths;
  for (const Flat& t : g.targets)
    if (t.n != 0 || t.e != 0)
      azimuths.push_back(Azimuth::degrees(std::atan2(t.e, t.n) * 180 / std::numbers::pi).degrees());
  if (azimuths.size() >= 2) {
    const double arc = arc_of(azimuths);
    if (arc < kNarrow) facts.push_back({SetupFactKind::narrow, arc});
    if (azimuths.size() == 2 && arc > kInLine) facts.push_back({SetupFactKind::in_line, arc});
  }
  if (g.distances) return;
  const auto near = circle_distance(g.targets, {0, 0});
  if (near && *near < kNearCircle) facts.push_back({SetupFactKind::danger_circle, *near});
}

void add_weak(std::vector<SetupFact>& facts, const PlanCovariance<Site>& c, Length tolerance) {
  const Length radius = radius95(c);
  if (radius > tolerance) facts.push_back({SetupFactKind::weak, radius.metres()});
}

Flat from_station(const Point<Site>& target, const Point<Site>& station) {
  const Vec<Site> d = target - station;
  return {d.by.northing.metres(), d.by.easting.metres()};
}

bool same(const Flat& a, const Flat& b) { return std::hypot(a.n - b.n, a.e - b.e) < 1e-3; }

void add_target(Geometry& g, const Flat& t) {
  if (std::none_of(g.targets.begin(), g.targets.end(), [&](const Flat& o) { return same(o, t); }))
    g.targets.push_back(t);
}

}  // namespace

Length radius95(const PlanCovariance<Site>& c) {
  const ErrorEllipse e = error_ellipse(c);
  if (e.semi_major.metres() <= 0) return Length::metres(0);
  const double k = e.semi_minor / e.semi_major;
  return e.semi_major * (1.960790 + k * (0.004071 + k * (0.114276 + k * 0.371625)));
}

void add_facts(SetupResult& result, const SetupInput& input, const SetupOptions& options) {
  Geometry g;
  for (const Sight& s : input.sights) {
    const auto& target = input.targets[s.target];
    if (!target) continue;
    add_target(g, from_station(target->at, result.at));
    g.distances = g.distances || s.horizontal.has_value();
  }
  if (result.degrees_of_freedom == 0) result.facts.push_back({SetupFactKind::no_check, 0});
  if (!result.orientation) result.facts.push_back({SetupFactKind::no_circle, 0});
  if (input.place == SetupPlace::free) add_geometry(result.facts, g);
  // A place that a wrong sight has bent says nothing of how good the sound ones make it.
  if (result.wrong.empty()) add_weak(result.facts, result.plan_covariance(), options.position_tolerance);
  if (input.orientation && result.orientation) {
    const double turn = wrapped(*input.orientation - *result.orientation).degrees();
    const double limit = std::max(kWrongLimit * result.sd_orientation()->degrees(), 1.0 / 60);
    if (std::fabs(turn) > limit) result.facts.push_back({SetupFactKind::orientation_differs, turn});
  }
  if (result.variance_factor && result.degrees_of_freedom > 0) {
    const VarianceTest t = test_variance(*result.variance_factor, result.degrees_of_freedom, kGlobalAlpha);
    if (t.too_high) result.facts.push_back({SetupFactKind::misfit_high, *result.variance_factor});
    if (t.too_low) result.facts.push_back({SetupFactKind::misfit_low, *result.variance_factor});
  }
}

SetupResult as_setup(const PlannedSetup& planned, const Point<Site>& spot, std::optional<Elevation> elevation,
                     Length instrument_height) {
  SetupResult setup;
  setup.status = SetupStatus::solved;
  setup.at = spot;
  setup.orientation = Angle::degrees(0);
  setup.covariance = planned.covariance;
  setup.elevation = elevation;
  setup.instrument_height = instrument_height;
  return setup;
}

PlannedSetup plan_setup(const Point<Site>& spot, std::optional<Length> mark_sd,
                        std::span<const PlannedSight> planned, const SetupOptions& options) {
  std::vector<Sight> sights;
  std::vector<std::optional<ControlMark>> targets;
  Geometry g;
  for (const PlannedSight& p : planned) {
    const Flat away = from_station(p.target, spot);
    const double n = static_cast<double>(std::max<std::size_t>(p.rounds, 1));
    Sight s;
    s.target = targets.size();
    s.circle = CircleReading::degrees(std::atan2(away.e, away.n) * 180 / std::numbers::pi);
    s.circle_sd = *options.instrument.angle_sd * ((p.both_faces ? 1 : std::numbers::sqrt2) / std::sqrt(n));
    s.distance_sd = *options.instrument.distance_sd;
    s.target_sd = options.instrument.target_sd;
    if (p.distance) s.horizontal = Length::metres(std::hypot(away.n, away.e));
    g.distances = g.distances || p.distance;
    add_target(g, away);
    sights.push_back(s);
    targets.push_back(ControlMark{p.target, std::nullopt, p.target_control_sd});
  }
  SetupInput input;
  input.place = mark_sd ? SetupPlace::known : SetupPlace::free;
  if (mark_sd) input.mark = ControlMark{spot, std::nullopt, mark_sd};
  input.sights = sights;
  input.targets = targets;
  PlannedSetup out;
  const Prediction quality = PlanFit(input, options).predict_at(spot, Angle::degrees(0));
  out.fixed = quality.full_rank;
  if (!mark_sd) add_geometry(out.facts, g);
  if (!out.fixed) return out;
  for (std::size_t i = 0; i < 3; ++i)
    for (std::size_t j = 0; j < 3; ++j) out.covariance[i][j] = quality.covariance(i, j);
  out.degrees_of_freedom = quality.redundancy.size() - quality.rank;
  if (out.degrees_of_freedom == 0) out.facts.push_back({SetupFactKind::no_check, 0});
  add_weak(out.facts, {out.covariance[0][0], out.covariance[0][1], out.covariance[1][1]},
           options.position_tolerance);
  return out;
}

}  // namespace deckmark
