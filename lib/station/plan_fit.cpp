#include "station/plan_fit.h"

#include <algorithm>
#include <array>
#include <cassert>
#include <cmath>
#include <map>
#include <numbers>

namespace deckmark {

namespace {

using Kind = PlanObservation::Kind;
using Extra = PlanVariant::Extra;

constexpr double kFixed = 1e-6;  // m: sd of what is said to be exact; the solver needs one above zero
constexpr double kApart = 1e-3;  // m: positions closer than this are one

double wrap(double radians) { return std::remainder(radians, 2 * std::numbers::pi); }

double north_of(const Point<Site>& p, const Point<Site>& c) {
  return (p.at.northing - c.at.northing).metres();
}
double east_of(const Point<Site>& p, const Point<Site>& c) { return (p.at.easting - c.at.easting).metres(); }

struct Slope {
  double square_sum = 0;
  std::vector<double> gradient, scale;  // scale: square roots of the diagonal of the normal matrix
};
Slope slope_at(std::span<const double> observed, std::span<const double> sds, const Model& model,
               std::span<const double> x) {
  std::vector<double> values(observed.size());
  Matrix design(observed.size(), x.size());
  model(x, values, design);
  Slope out{0, std::vector<double>(x.size(), 0.0), std::vector<double>(x.size(), 0.0)};
  for (std::size_t i = 0; i < observed.size(); ++i) {
    const double v = (observed[i] - values[i]) / sds[i];
    out.square_sum += v * v;
    for (std::size_t j = 0; j < x.size(); ++j) {
      const double a = design(i, j) / sds[i];
      out.gradient[j] -= v * a;
      out.scale[j] += a * a;
    }
  }
  for (double& d : out.scale) d = std::sqrt(std::max(d, 1e-30));
  return out;
}

// Newton's method damped after Levenberg and Marquardt, the second derivatives from differences of the
// gradient: it settles however large the residuals are. True where the last step was under 1e-4 sd.
bool descend(std::span<const double> observed, std::span<const double> sds, const Model& model,
             std::vector<double>& x) {
  const std::size_t n = x.size();
  double damping = 1e-3;
  Slope at = slope_at(observed, sds, model, x);
  for (int step = 0; step < 200; ++step) {
    Matrix second(n, n);
    for (std::size_t j = 0; j < n; ++j) {
      const double h = 1e-2 / at.scale[j];
      std::vector<double> low = x, high = x;
      low[j] -= h, high[j] += h;
      const Slope a = slope_at(observed, sds, model, low), b = slope_at(observed, sds, model, high);
      // In units of the scale, so that metres and radians stand alike.
      for (std::size_t i = 0; i < n; ++i)
        second(i, j) += (b.gradient[i] - a.gradient[i]) / (2 * h) / (at.scale[i] * at.scale[j]);
    }
    LinearProblem newton{second, {}, std::vector<double>(n, 1.0)};
    for (std::size_t i = 0; i < n; ++i) {
      newton.observed.push_back(-at.gradient[i] / at.scale[i]);
      newton.design(i, i) += damping;
    }
    const Solution s = solve(newton);
    std::vector<double> next = x;
    double largest = 0;
    for (std::size_t j = 0; s.full_rank && j < n; ++j)
      next[j] += s.parameters[j] / at.scale[j], largest = std::max(largest, std::fabs(s.parameters[j]));
    const Slope there = slope_at(observed, sds, model, next);
    if (s.full_rank && largest < 1e-4 && damping <= 1e-2) return true;
    const bool better = s.full_rank && there.square_sum < at.square_sum;
    damping = std::clamp(better ? damping / 10 : damping * 10, 1e-6, 1e12);
    if (!better) continue;
    x = std::move(next);
    at = there;
  }
  return false;
}

double floored(double sd) { return std::max(sd, kFixed); }

}  // namespace

struct PlanFit::Partials {
  double north = 0, east = 0, turn = 0, extra = 0, control_north = 0, control_east = 0;
};

PlanFit::PlanFit(const SetupInput& input, const SetupOptions& options)
    : input_(input),
      options_(options),
      centre_{{.northing = Length::metres(0), .easting = Length::metres(0)}} {
  double north = 0, east = 0;
  std::size_t count = 0;
  std::optional<Point<Site>> first;
  const auto take = [&](const Point<Site>& p) {
    if (!first) first = p;
    north += north_of(p, *first), east += east_of(p, *first), ++count;
  };
  if (input.place != SetupPlace::free) take(input.mark->at);
  for (std::size_t s = 0; s < input.sights.size(); ++s)
    if (is_control(s)) take(control(s).at);
  if (first) {
    const double n = static_cast<double>(count);
    centre_ =
        *first + Vec<Site>{{.northing = Length::metres(north / n), .easting = Length::metres(east / n)}};
  }
  if (input.place != SetupPlace::free) {
    const double own = input.mark->sd                   ? input.mark->sd->metres()
                       : input.place == SetupPlace::own ? kOwnSd
                                                        : 0.0;
    const double centring = input.place == SetupPlace::known ? options.instrument.centring_sd.metres() : 0.0;
    const double sd = floored(std::hypot(own, centring));
    observations_.push_back({Kind::mark_north, 0, north_of(input.mark->at, centre_), sd});
    observations_.push_back({Kind::mark_east, 0, east_of(input.mark->at, centre_), sd});
  }
  for (std::size_t s = 0; s < input.sights.size(); ++s)
    if (is_control(s)) add_sight(s);
  // Without a circle the orientation would be open: held, it takes nothing from the place.
  if (!has_circles_) observations_.push_back({Kind::turn, 0, 0, 1});
}

bool PlanFit::is_control(std::size_t sight) const {
  return input_.targets[input_.sights[sight].target].has_value();
}
const ControlMark& PlanFit::control(std::size_t sight) const {
  return *input_.targets[input_.sights[sight].target];
}

void PlanFit::add_sight(std::size_t sight) {
  const Sight& s = input_.sights[sight];
  const ControlMark& c = control(sight);
  if (s.circle) {
    observations_.push_back({Kind::circle, sight, s.circle->degrees() * std::numbers::pi / 180, 0});
    has_circles_ = true;
  }
  if (s.horizontal) {
    const double constant =
        distance_sd_at(*s.horizontal, s.distance_sd, options_.instrument.distance_ppm).metres();
    observations_.push_back(
        {Kind::distance, sight, s.horizontal->metres(), floored(std::hypot(constant, s.target_sd.metres()))});
  }
  if (!c.sd || c.sd->metres() <= 0 || slot_of(s.target) < slots_.size()) return;
  slots_.push_back(s.target);
  observations_.push_back({Kind::control_north, sight, north_of(c.at, centre_), floored(c.sd->metres())});
  observations_.push_back({Kind::control_east, sight, east_of(c.at, centre_), floored(c.sd->metres())});
}

std::size_t PlanFit::slot_of(std::size_t target) const {
  return static_cast<std::size_t>(std::find(slots_.begin(), slots_.end(), target) - slots_.begin());
}

PlanVariant PlanFit::everything() const {
  PlanVariant v;
  v.kept.assign(observations_.size(), true);
  return v;
}

// x: north, east, turn, [extra], control pairs. `extra` is 1 where the variant has one; the caller adds its
// effect.
double PlanFit::computed(const PlanObservation& o, const double* x, std::size_t extra, Partials* d) const {
  if (o.kind == Kind::mark_north) return d->north = 1, x[0];
  if (o.kind == Kind::mark_east) return d->east = 1, x[1];
  if (o.kind == Kind::turn) return d->turn = 1, x[2];
  const std::size_t target = input_.sights[o.sight].target;
  const std::size_t slot = slot_of(target);
  const bool unknown = slot < slots_.size();
  const double cn = unknown ? x[3 + extra + 2 * slot] : north_of(control(o.sight).at, centre_);
  const double ce = unknown ? x[3 + extra + 2 * slot + 1] : east_of(control(o.sight).at, centre_);
  if (o.kind == Kind::control_north) return d->control_north = 1, cn;
  if (o.kind == Kind::control_east) return d->control_east = 1, ce;
  const double dn = cn - x[0], de = ce - x[1];
  const double hd = std::max(std::hypot(dn, de), kFixed);
  if (o.kind == Kind::distance) {
    d->north = -dn / hd, d->east = -de / hd;
    d->control_north = dn / hd, d->control_east = de / hd;
    return hd;
  }
  d->north = de / (hd * hd), d->east = -dn / (hd * hd), d->turn = -1;
  d->control_north = -de / (hd * hd), d->control_east = dn / (hd * hd);
  return std::atan2(de, dn) - x[2];
}

// The target's share of a circle needs a distance: the measured one, else that from the place given.
double PlanFit::sd_of(const PlanObservation& o, double north, double east) const {
  if (o.kind != Kind::circle) return o.sd;
  const Sight& s = input_.sights[o.sight];
  const ControlMark& c = control(o.sight);
  const double away = std::hypot(north_of(c.at, centre_) - north, east_of(c.at, centre_) - east);
  const double hd = std::max(s.horizontal ? s.horizontal->metres() : away, 0.01);
  return std::max(std::hypot(s.circle_sd.radians(), s.target_sd.metres() / hd), 1e-12);
}

NonlinearSolution PlanFit::solve_from(const PlanVariant& v, const std::vector<std::size_t>& used,
                                      const Start& start) const {
  std::vector<double> observed, sds;
  const std::size_t extra = v.extra == Extra::none ? 0 : 1;
  for (const std::size_t i : used) {
    const PlanObservation& o = observations_[i];
    observed.push_back(o.observed);
    sds.push_back(sd_of(o, start[0], start[1]));
  }
  const Model model = [&](std::span<const double> x, std::span<double> values, Matrix& design) {
    for (std::size_t row = 0; row < used.size(); ++row) {
      const PlanObservation& o = observations_[used[row]];
      Partials d;
      double value = computed(o, x.data(), extra, &d);
      const bool of_sight = o.kind == Kind::circle || o.kind == Kind::distance;
      if (v.extra == Extra::constant && o.kind == Kind::distance &&
          (!v.reflector || v.reflector == input_.sights[o.sight].reflector))
        d.extra = 1, value += x[3];
      if (v.extra == Extra::turned && o.kind == Kind::circle && o.sight >= v.from) d.extra = 1, value += x[3];
      if (o.kind == Kind::circle) value = o.observed - wrap(o.observed - value);
      values[row] = value;
      design(row, 0) = d.north, design(row, 1) = d.east, design(row, 2) = d.turn;
      if (extra == 1) design(row, 3) = d.extra;
      if (slots_.empty() || (!of_sight && d.control_north == 0 && d.control_east == 0)) continue;
      const std::size_t slot = slot_of(input_.sights[o.sight].target);
      if (slot == slots_.size()) continue;
      design(row, 3 + extra + 2 * slot) = d.control_north;
      design(row, 3 + extra + 2 * slot + 1) = d.control_east;
    }
  };
  NonlinearSolution out = solve_nonlinear(observed, sds, start, model);
  if (out.converged || out.parameters.empty()) return out;
  // A sight to the wrong point leaves residuals of thousands of sds, about which Gauss-Newton does not
  // settle.
  std::vector<double> x = out.parameters;
  const bool settled = descend(observed, sds, model, x);
  out = solve_nonlinear(observed, sds, x, model, {.most_steps = 0});
  out.converged = settled && out.full_rank;
  return out;
}

PlanFit::Start PlanFit::widened(double north, double east, double turn, const PlanVariant& v) const {
  Start out{north, east, turn};
  if (v.extra != Extra::none) out.push_back(0);
  for (const std::size_t target : slots_) {
    out.push_back(north_of(input_.targets[target]->at, centre_));
    out.push_back(east_of(input_.targets[target]->at, centre_));
  }
  return out;
}

// Mean over the kept circles of azimuth less circle, taken as vectors.
double PlanFit::circle_start(double north, double east, const PlanVariant& v) const {
  double s = 0, c = 0;
  for (std::size_t i = 0; i < observations_.size(); ++i) {
    const PlanObservation& o = observations_[i];
    if (!v.kept[i] || o.kind != Kind::circle) continue;
    const Point<Site>& p = control(o.sight).at;
    const double turn = std::atan2(east_of(p, centre_) - east, north_of(p, centre_) - north) - o.observed;
    s += std::sin(turn), c += std::cos(turn);
  }
  return std::atan2(s, c);
}

// Rigid fit of the local polar coordinates of the sights with distances (closed form, no iteration).
std::optional<PlanFit::Start> PlanFit::rigid_start(const PlanVariant& v) const {
  struct Pair {
    double ln, le, cn, ce;
  };
  std::vector<Pair> pairs;
  for (std::size_t i = 0; i < observations_.size(); ++i) {
    const PlanObservation& o = observations_[i];
    if (o.kind != Kind::distance || !v.kept[i]) continue;
    const auto circle = observation_of(o.sight, Kind::circle);
    if (!circle || !v.kept[*circle]) continue;
    const double a = observations_[*circle].observed;
    const Point<Site>& p = control(o.sight).at;
    pairs.push_back(
        {o.observed * std::cos(a), o.observed * std::sin(a), north_of(p, centre_), east_of(p, centre_)});
  }
  if (pairs.size() < 2) return std::nullopt;
  Pair mean{0, 0, 0, 0};
  const double n = static_cast<double>(pairs.size());
  for (const Pair& p : pairs)
    mean.ln += p.ln / n, mean.le += p.le / n, mean.cn += p.cn / n, mean.ce += p.ce / n;
  double along = 0, across = 0, spread = 0;
  for (const Pair& p : pairs) {
    const double ln = p.ln - mean.ln, le = p.le - mean.le, cn = p.cn - mean.cn, ce = p.ce - mean.ce;
    along += ln * cn + le * ce;
    across += ln * ce - le * cn;
    spread += cn * cn + ce * ce;
  }
  if (spread < kApart * kApart || std::hypot(along, across) == 0) return std::nullopt;
  const double turn = std::atan2(across, along), s = std::sin(turn), c = std::cos(turn);
  return widened(mean.cn - (mean.ln * c - mean.le * s), mean.ce - (mean.ln * s + mean.le * c), turn, v);
}

std::vector<PlanFit::Start> PlanFit::starts(const PlanVariant& v, const PlanSolution* near) const {
  std::vector<Start> out;
  const bool marked = input_.place != SetupPlace::free && v.kept[0] && v.kept[1];
  if (marked) {
    const double n = observations_[0].observed, e = observations_[1].observed;
    out.push_back(widened(n, e, circle_start(n, e, v), v));
    return out;
  }
  if (auto rigid = rigid_start(v)) {
    out.push_back(*rigid);
    return out;
  }
  if (near != nullptr && near->fit.parameters.size() >= 3)
    out.push_back(widened(near->fit.parameters[0], near->fit.parameters[1], near->fit.parameters[2], v));
  double spread = 1;
  for (const PlanObservation& o : observations_)
    if (o.kind == Kind::circle || o.kind == Kind::distance)
      spread = std::max(
          spread, std::hypot(north_of(control(o.sight).at, centre_), east_of(control(o.sight).at, centre_)));
  for (const double radius : {0.0, 0.3, 0.6, 1.0, 2.0, 4.0})
    for (int k = 0; k < (radius == 0 ? 1 : 12); ++k) {
      const double a = (k + 0.1) * std::numbers::pi / 6;  // off the axes, where targets like to stand
      const double n = radius * spread * std::cos(a), e = radius * spread * std::sin(a);
      out.push_back(widened(n, e, circle_start(n, e, v), v));
    }
  return out;
}

PlanSolution PlanFit::run(const PlanVariant& v, const PlanSolution* near) const {
  PlanSolution out;
  for (std::size_t i = 0; i < observations_.size(); ++i)
    if (v.kept[i]) out.used.push_back(i);
  const std::size_t unknowns = 3 + (v.extra == Extra::none ? 0 : 1) + 2 * slots_.size();
  out.enough = out.used.size() >= unknowns;
  if (!out.enough) return out;
  std::vector<NonlinearSolution> minima;
  const auto tried = starts(v, near);
  for (const Start& start : tried) {
    NonlinearSolution s = solve_from(v, out.used, start);
    // Circles without a distance take the target's share from the start: once more from the place found.
    if (s.converged && tried.size() > 1) s = solve_from(v, out.used, s.parameters);
    if (s.converged)
      minima.push_back(std::move(s));
    else if (out.fit.steps == 0)
      out.fit = std::move(s);  // says what is open, should nothing converge
  }
  if (minima.empty()) return out;
  std::sort(minima.begin(), minima.end(),
            [](const auto& a, const auto& b) { return a.square_sum < b.square_sum; });
  for (const NonlinearSolution& m : minima) {
    if (m.square_sum - minima[0].square_sum >= kTellApart) break;
    const Point<Site> at = centre_ + Vec<Site>{{.northing = Length::metres(m.parameters[0]),
                                                .easting = Length::metres(m.parameters[1])}};
    const bool fresh = std::none_of(out.places.begin(), out.places.end(), [&](const Point<Site>& p) {
      return distance(p, at).metres() <
             std::max(kApart, 0.1 * std::sqrt(m.covariance(0, 0) + m.covariance(1, 1)));
    });
    if (fresh) out.places.push_back(at);
  }
  out.fit = std::move(minima[0]);
  return out;
}

Prediction PlanFit::predict_at(const Point<Site>& at, Angle orientation) const {
  const PlanVariant v = everything();
  std::vector<std::size_t> used(observations_.size());
  for (std::size_t i = 0; i < used.size(); ++i) used[i] = i;
  Prediction out;
  if (used.size() < 3) return out;
  // The planned readings are free of error, so that the solution stands where it starts and its quality is
  // the plan's.
  const NonlinearSolution s =
      solve_from(v, used, widened(north_of(at, centre_), east_of(at, centre_), orientation.radians(), v));
  out = s;
  return out;
}

Point<Site> PlanFit::place(const PlanSolution& s) const {
  return centre_ + Vec<Site>{{.northing = Length::metres(s.fit.parameters[0]),
                              .easting = Length::metres(s.fit.parameters[1])}};
}
Angle PlanFit::orientation(const PlanSolution& s) const {
  const double turn = std::fmod(s.fit.parameters[2], 2 * std::numbers::pi);
  return Angle::degrees(Azimuth::degrees(turn * 180 / std::numbers::pi).degrees());
}
Point<Site> PlanFit::shot(const PlanSolution& s, std::size_t sight) const {
  const Sight& t = input_.sights[sight];
  const double a = t.circle->degrees() * std::numbers::pi / 180 + s.fit.parameters[2];
  const double hd = t.horizontal->metres();
  return place(s) + Vec<Site>{{.northing = Length::metres(hd * std::cos(a)),
                               .easting = Length::metres(hd * std::sin(a))}};
}

double PlanFit::misfit(const PlanSolution& s, std::size_t observation) const {
  const PlanObservation& o = observations_[observation];
  Partials d;
  const std::size_t extra = s.fit.parameters.size() - 3 - 2 * slots_.size();
  const double v = o.observed - computed(o, s.fit.parameters.data(), extra, &d);
  return o.kind == Kind::circle ? wrap(v) : v;
}

// A coordinate of held control that is off by c moves the solution by -N^-1 A'P (df/dc) c; one of the mark
// stood on, which is observed, by N^-1 A'P c.
std::optional<HeldControl> PlanFit::held_control(const PlanSolution& s) const {
  using Column = std::array<double, 3>;                // northing, easting, orientation
  std::map<std::size_t, std::array<Column, 2>> moves;  // by target; the mark stood on is none: npos
  constexpr auto kMark = static_cast<std::size_t>(-1);
  const std::size_t unknowns = s.fit.parameters.size(), extra = unknowns - 3 - 2 * slots_.size();
  for (const std::size_t i : s.used) {
    const PlanObservation& o = observations_[i];
    const bool of_mark = o.kind == Kind::mark_north || o.kind == Kind::mark_east;
    if (of_mark ? input_.place != SetupPlace::known || input_.mark->sd.has_value()
                : o.kind != Kind::circle && o.kind != Kind::distance)
      continue;
    const std::size_t slot = of_mark ? slots_.size() : slot_of(input_.sights[o.sight].target);
    if (slot < slots_.size() || (!of_mark && control(o.sight).sd)) continue;  // 0 is a statement too
    Partials d;
    computed(o, s.fit.parameters.data(), extra, &d);
    const double sd = sd_of(o, s.fit.parameters[0], s.fit.parameters[1]), weight = 1 / (sd * sd);
    auto& column = moves[of_mark ? kMark : input_.sights[o.sight].target];
    for (std::size_t k = 0; k < 3; ++k) {
      const Matrix& q = s.fit.covariance;
      const double gain = (q(k, 0) * d.north + q(k, 1) * d.east + q(k, 2) * d.turn) * weight;
      column[0][k] += of_mark ? (o.kind == Kind::mark_north ? gain : 0) : -gain * d.control_north;
      column[1][k] += of_mark ? (o.kind == Kind::mark_east ? gain : 0) : -gain * d.control_east;
    }
  }
  if (moves.empty()) return std::nullopt;
  constexpr double kMillimetre = 1e-3;
  HeldControl out;
  out.points = moves.size();
  for (const auto& [target, columns] : moves)
    for (const Column& c : columns)
      for (std::size_t i = 0; i < 3; ++i)
        for (std::size_t j = 0; j < 3; ++j) out.covariance[i][j] += c[i] * c[j] * kMillimetre * kMillimetre;
  return out;
}

std::optional<std::size_t> PlanFit::observation_of(std::size_t sight, PlanObservation::Kind kind) const {
  for (std::size_t i = 0; i < observations_.size(); ++i)
    if (observations_[i].kind == kind && observations_[i].sight == sight) return i;
  return std::nullopt;
}

}  // namespace deckmark
