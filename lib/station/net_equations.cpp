#include <algorithm>
#include <cmath>
#include <numbers>
#include <utility>

#include "station/net_maker.h"
#include "station/plan_fit.h"

namespace deckmark::net {

namespace {

constexpr double kLeastReach = 1e-4;  // m: nearer in plan a direction means nothing

double wrap(double radians) { return std::remainder(radians, 2 * std::numbers::pi); }
double square(double v) { return v * v; }

/// Covariance of a horizontal distance and the rise that belongs to it.
struct Spread {
  double along = 0, both = 0, up = 0;
};
Spread spread_of(const Sight& s, const InstrumentOptions& instrument) {
  const double z = s.zenith->radians(), sine = std::sin(z), cosine = std::cos(z);
  const double angle = s.zenith_sd.radians(), target = s.target_sd.metres(),
               height = instrument.height_sd.metres();
  Spread out;
  if (s.slope) {
    const double slope = s.slope->metres();
    const double length = distance_sd_at(*s.slope, s.distance_sd, instrument.distance_ppm).metres();
    out = {square(sine * length) + square(slope * cosine * angle),
           sine * cosine * (square(length) - square(slope * angle)),
           square(cosine * length) + square(slope * sine * angle)};
  } else {
    const double reach = s.horizontal->metres(), cot = cosine / sine;
    const double length = distance_sd_at(*s.horizontal, s.distance_sd, instrument.distance_ppm).metres();
    out = {square(length), square(length) * cot,
           square(length * cot) + square(reach * angle / (sine * sine))};
  }
  out.along += square(target) + square(kExact);
  out.up += square(height) + square(kExact);
  return out;
}

}  // namespace

void Builder::Maker::single(Row row, LinearForm form, double misfit, double sd) {
  row.first = problem.equations.size();
  row.count = 1;
  row.root = {sd, 0, 0};
  for (Term& t : form) t.factor /= sd;
  problem.equations.push_back({std::move(form), misfit / sd});
  out.rows.push_back(row);
}

void Builder::Maker::make_sight(std::size_t s, std::size_t k) {
  const std::size_t p = *part.point[s][k];
  const Sight& sight = input().setups[s].sights[k];
  const auto& at = out.values.setups[s];
  const auto& to = out.values.points[p];
  Way way{to.n - at.n, to.e - at.e, 0, to.h + sight.target_height.metres() - at.axis};
  way.reach = std::max(std::hypot(way.n, way.e), kLeastReach);
  Row row;
  row.setup = s, row.sight = k, row.point = p;
  if (sight.circle && out.has_turn[s]) make_circle(row, sight, way);
  if (sight.horizontal && sight.rise)
    make_reach(row, sight, way);
  else if (sight.horizontal)
    make_distance(row, sight, way);
  else if (sight.zenith)
    make_zenith(row, sight, way);
}

void Builder::Maker::make_circle(Row row, const Sight& sight, const Way& way) {
  row.kind = RowKind::circle;
  const double reach = sight.horizontal ? sight.horizontal->metres() : way.reach;
  const double target = sight.target_sd.metres() / std::max(reach, 0.01);
  LinearForm form;
  add_way(form, row, -way.east() / way.reach, way.north() / way.reach);
  add(form, out.unknowns.setups[row.setup][kTurn], -1);
  const double skew = out.unknowns.collimation ? sight.circle_face / sine_of(sight) : 0;
  if (skew != 0) add(form, out.unknowns.collimation, skew);
  single(row, std::move(form),
         wrap(sight.circle->radians() - skew * out.values.collimation + out.values.setups[row.setup].turn -
              std::atan2(way.e, way.n)),
         std::hypot(sight.circle_sd.radians(), target));
}

void Builder::Maker::make_reach(Row row, const Sight& sight, const Way& way) {
  row.kind = RowKind::reach;
  const Spread c = spread_of(sight, instrument());
  const double a = std::sqrt(c.along), b = c.both / a, d = std::sqrt(std::max(c.up - b * b, square(kExact)));
  // An index error in the zenith angle makes the reach longer and the rise less.
  const auto [reach_slope, rise_slope] = out.unknowns.index ? by_zenith(sight) : std::pair(0.0, 0.0);
  const double index = out.values.index;
  const double long_by = sight.horizontal->metres() - reach_slope * index - std::hypot(way.n, way.e),
               high_by = sight.rise->metres() - rise_slope * index - way.up;
  row.first = problem.equations.size();
  row.count = 2;
  row.root = {a, b, d};
  LinearForm first, second;
  add_way(first, row, way.north() / a, way.east() / a);
  if (reach_slope != 0) add(first, out.unknowns.index, reach_slope / a);
  add(second, out.unknowns.points[row.point][kHeight], 1 / d);
  add(second, out.unknowns.setups[row.setup][kAxis], -1 / d);
  if (rise_slope != 0) add(second, out.unknowns.index, rise_slope / d);
  for (const Term& t : first) second.push_back({t.unknown, -t.factor * b / d});
  problem.equations.push_back({first, long_by / a});
  problem.equations.push_back({second, (high_by - b / a * long_by) / d});
  out.rows.push_back(row);
}

void Builder::Maker::make_distance(Row row, const Sight& sight, const Way& way) {
  row.kind = RowKind::distance;
  const double sd =
      std::hypot(distance_sd_at(*sight.horizontal, sight.distance_sd, instrument().distance_ppm).metres(),
                 sight.target_sd.metres());
  LinearForm form;
  add_way(form, row, way.north(), way.east());
  single(row, std::move(form), sight.horizontal->metres() - std::hypot(way.n, way.e), std::max(sd, kExact));
}

void Builder::Maker::make_zenith(Row row, const Sight& sight, const Way& way) {
  row.kind = RowKind::zenith;
  const double reach = way.reach, up = way.up, line = std::hypot(reach, up);
  const double sd = std::hypot(
      sight.zenith_sd.radians(),
      std::hypot(sight.target_sd.metres() * up / line, instrument().height_sd.metres() * reach / line) /
          line);
  LinearForm form;
  const double by_reach = up / (line * line), by_up = -reach / (line * line);
  add_way(form, row, way.north() * by_reach, way.east() * by_reach);
  add(form, out.unknowns.points[row.point][kHeight], by_up);
  add(form, out.unknowns.setups[row.setup][kAxis], -by_up);
  if (sight.zenith_face != 0) add(form, out.unknowns.index, sight.zenith_face);
  const double skew = sight.zenith_face * out.values.index;
  single(row, std::move(form), sight.zenith->radians() - skew - bend(reach, sight) - std::atan2(reach, up),
         sd);
}

/// Sine of the zenith angle; level where none was read.
double Builder::Maker::sine_of(const Sight& sight) {
  return sight.zenith ? std::max(std::sin(sight.zenith->radians()), 1e-3) : 1.0;
}

/// Reach and rise by the index error that is left in the zenith angle.
std::pair<double, double> Builder::Maker::by_zenith(const Sight& sight) {
  const double z = sight.zenith->radians(), sine = std::sin(z);
  if (sight.slope)
    return {sight.zenith_face * sight.slope->metres() * std::cos(z),
            -sight.zenith_face * sight.slope->metres() * sine};
  return {0, -sight.zenith_face * sight.horizontal->metres() / (sine * sine)};
}

/// What curvature and refraction take from the zenith angle of a sight without a distance.
double Builder::Maker::bend(double reach, const Sight& sight) const {
  const double straight = sight.zenith->radians();
  const Length slope = Length::metres(reach / std::max(std::sin(straight), 0.01));
  const Reach bent = reach_of({*sight.zenith, slope}, instrument().refraction);
  return straight - std::atan2(bent.horizontal.metres(), bent.rise.metres());
}

void Builder::Maker::make_setup(std::size_t s) {
  const NetSetup& setup = input().setups[s];
  const auto& u = out.unknowns.setups[s];
  const auto& v = out.values.setups[s];
  Row row;
  row.setup = s;
  if (setup.over && u[0]) {
    const std::size_t p = *setup.over;
    const auto& at = out.values.points[p];
    row.point = p;
    row.kind = RowKind::mark;
    const double sd = std::max(instrument().centring_sd.metres(), kExact);
    for (std::size_t axis = 0; axis < 2; ++axis) {
      LinearForm form;
      add(form, u[axis], 1);
      add(form, out.unknowns.points[p][axis], -1);
      single(row, std::move(form), axis == 0 ? at.n - v.n : at.e - v.e, sd);
    }
    if (u[kAxis] || axis_held[s]) {
      row.kind = RowKind::mark_height;
      LinearForm form;
      add(form, u[kAxis], 1);
      add(form, out.unknowns.points[p][kHeight], -1);
      if (!form.empty())
        single(row, std::move(form), setup.instrument_height.metres() - (v.axis - at.h),
               std::max(instrument().height_sd.metres(), kExact));
    }
  }
  if (setup.place != SetupPlace::own || !setup.own || !u[0]) return;
  const Flat stated = flat(setup.own->at, builder.centre_);
  const double sd = std::max(setup.own->sd ? setup.own->sd->metres() : kOwnSd, kExact);
  row.kind = RowKind::own;
  for (std::size_t axis = 0; axis < 2; ++axis)
    single(row, {{*u[axis], 1}}, axis == 0 ? stated.n - v.n : stated.e - v.e, sd);
  if (!setup.own->elevation || !u[kAxis]) return;
  row.kind = RowKind::own_height;
  single(row, {{*u[kAxis], 1}}, builder.height_of(*setup.own) + setup.instrument_height.metres() - v.axis,
         sd);
}

void Builder::Maker::make_control(std::size_t p) {
  const auto& u = out.unknowns.points[p];
  const auto c = builder.control(p);
  if (!c || builder.control_sd(p) <= 0) return;
  const double sd = std::max(builder.control_sd(p), kExact);
  const auto& v = out.values.points[p];
  const Flat stated = flat(c->at, builder.centre_);
  Row row;
  row.point = p;
  row.kind = RowKind::control;
  if (u[0] && !extra.is_freed(p)) {
    single(row, {{*u[0], 1}}, stated.n - v.n, sd);
    single(row, {{*u[1], 1}}, stated.e - v.e, sd);
  }
  if (!u[kHeight] || !c->elevation) return;
  row.kind = RowKind::control_height;
  single(row, {{*u[kHeight], 1}}, builder.height_of(*c) - v.h, sd);
}

void Builder::Maker::make_faces(std::size_t s) {
  const Unknowns& u = out.unknowns;
  for (const FaceHalf& h : input().setups[s].halves) {
    const Sight& sight = input().setups[s].sights[h.sight];
    Row row;
    row.kind = RowKind::face;
    row.setup = s;
    row.sight = h.sight;
    if (u.collimation && h.circle) {
      const double by = 1 / sine_of(sight);
      single(row, {{*u.collimation, by}}, h.circle->radians() - by * out.values.collimation,
             std::max(h.circle_sd.radians(), 1e-12));
    }
    if (u.index && h.zenith)
      single(row, {{*u.index, 1}}, h.zenith->radians() - out.values.index,
             std::max(h.zenith_sd.radians(), 1e-12));
  }
}

void Builder::Maker::make() {
  problem = {};
  out.rows.clear();
  problem.unknowns = out.unknowns.count;
  problem.blocks = out.unknowns.blocks;
  for (std::size_t s = 0; s < input().setups.size(); ++s) {
    if (!out.in_net[s]) continue;
    make_setup(s);
    make_faces(s);
    for (std::size_t k = 0; k < part.point[s].size(); ++k)
      if (part.point[s][k]) make_sight(s, k);
  }
  for (std::size_t p = 0; p < input().points.size(); ++p) make_control(p);
  out.errors.resize(extra.columns.size());
  for (std::size_t k = 0; k < extra.columns.size(); ++k)
    for (const Term& t : extra.columns[k]) {
      BlockEquation& e = problem.equations[t.unknown];
      e.form.push_back({out.first_error + k, t.factor});
      e.right -= t.factor * out.errors[k];
    }
}

}  // namespace deckmark::net
