#include "baseline/tie_fit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <numeric>

#include "adjust/dual.h"
#include "baseline/tie_wave.h"

namespace deckmark::tie_fit {

namespace {

constexpr int kDirections = 720;  // half a degree apart

constexpr double kSpacing = 2 * std::numbers::pi / kDirections;

const std::vector<Turn>& turns() {
  static const std::vector<Turn> all = [] {
    std::vector<Turn> out;
    out.reserve(kDirections);
    for (int k = 0; k < kDirections; ++k) out.push_back({std::sin(kSpacing * k), std::cos(kSpacing * k)});
    return out;
  }();
  return all;
}

double turn_between(double a, double b) { return std::abs(std::remainder(a - b, 2 * std::numbers::pi)); }

void complete(const Ties& ties, bool mirrored, Minimum& at) {
  at.residuals = residuals_at(ties, mirrored, at);
  at.square_sum = at.whitening ? at.whitening->square_sum(at.residuals) : 0;
  double plain = 0;
  for (std::size_t i = 0; i < at.residuals.size(); ++i) {
    const double v = at.residuals[i];
    if (!at.whitening) at.square_sum += v * v / (ties.sds[i] * ties.sds[i]);
    plain += v * v;
  }
  at.misfit = std::sqrt(plain / static_cast<double>(ties.count));
}

/// The unknowns of a fit, of tx, ty, A, s: no shift of a family without ties, the scale only where freed.
struct Unknowns {
  std::vector<std::size_t> which;
  std::vector<double> start;
  void add(std::size_t index, double value) {
    which.push_back(index);
    start.push_back(value);
  }
  std::array<double, 4> all(std::span<const double> p) const {
    std::array<double, 4> out{0, 0, 0, 1};
    for (std::size_t j = 0; j < p.size(); ++j) out[which[j]] = p[j];
    return out;
  }
};

Model model_of(const Ties& ties, bool mirrored, const Unknowns& unknowns) {
  return [&ties, &unknowns, hand = mirrored ? -1.0 : 1.0](std::span<const double> p,
                                                          std::span<double> computed, Matrix& design) {
    using D = Dual<4>;
    const auto all = unknowns.all(p);
    const D tx = D::unknown(all[0], 0), ty = D::unknown(all[1], 1), a = D::unknown(all[2], 2);
    const D s = D::unknown(all[3], 3), sine = sin(a) / s, cosine = cos(a) / s;
    for (std::size_t i = 0; i < ties.stated.size(); ++i) {
      const Stated& t = ties.stated[i];
      const D at = t.axis == TieAxis::x ? tx + t.easting * sine + t.northing * cosine
                                        : ty + hand * (t.northing * sine - t.easting * cosine);
      computed[i] = at.value;
      for (std::size_t j = 0; j < p.size(); ++j) design(i, j) = at.slope[unknowns.which[j]];
    }
  };
}

/// Moves a minimum to where V, taken at it, has its own next to it.
struct Step {
  double moved, square_sum;
};
Step step_by(const Ties& ties, bool mirrored, bool scale_free, const Whitening& whitening, Minimum& at) {
  std::vector<std::size_t> rows(ties.stated.size());
  std::iota(rows.begin(), rows.end(), std::size_t{0});
  const Wave wave = wave_of(ties, rows, mirrored ? -1 : 1, whitening);
  Minimum to = at;
  Turn turn{};
  if (scale_free) {
    turn = free_minimum(wave);
    to.azimuth = std::atan2(turn.sine, turn.cosine);
    to.scale = 1 / std::hypot(turn.sine, turn.cosine);
  } else {
    to.azimuth = minimum_near(wave, at.azimuth);
    turn = {std::sin(to.azimuth), std::cos(to.azimuth)};
  }
  const Step out{turn_between(to.azimuth, at.azimuth) + std::abs(to.scale / at.scale - 1),
                 square_sum_at(wave, turn)};
  at = to;
  return out;
}

/// V at the azimuth that it leads to; nothing where found places stand alone.
std::optional<Whitening> settle(const Ties& ties, bool mirrored, bool scale_free, Minimum& at) {
  if (!ties.places) return std::nullopt;
  const double hopeless = kHopeless * static_cast<double>(ties.stated.size());
  for (int round = 1;; ++round) {
    Whitening whitening(covariance_of(ties, mirrored, at.azimuth, at.scale));
    const Step step = step_by(ties, mirrored, scale_free, whitening, at);
    if (step.moved <= kSettledTurn || step.square_sum > hopeless || round == kMostRounds) return whitening;
  }
}

void put_solution(const Unknowns& unknowns, bool scale_free, Minimum& out) {
  const NonlinearSolution& s = out.solution;
  const auto all = unknowns.all(s.parameters);
  out.tx = all[0];
  out.ty = all[1];
  out.azimuth = all[2];
  out.scale = all[3];
  const std::size_t turn = unknowns.start.size() - (scale_free ? 2 : 1);
  out.determined =
      std::sqrt(s.covariance(turn, turn)) <= kOpenTurn &&
      (!scale_free || std::sqrt(s.covariance(turn + 1, turn + 1)) <= kOpenScale * std::abs(out.scale));
}

/// All unknowns at once: tx, ty, A and, where freed, s.
Minimum refine(const Ties& ties, bool mirrored, bool scale_free, double azimuth, double scale) {
  Minimum out;
  out.azimuth = azimuth;
  out.scale = scale;
  out.whitening = settle(ties, mirrored, scale_free, out);
  Unknowns unknowns;
  if (ties.x.count > 0) unknowns.add(0, 0);
  if (ties.y.count > 0) unknowns.add(1, 0);
  unknowns.add(2, out.azimuth);
  if (scale_free) unknowns.add(3, out.scale);
  const Model model = model_of(ties, mirrored, unknowns);
  out.solution = out.whitening ? solve_nonlinear(ties.values, *out.whitening, unknowns.start, model)
                               : solve_nonlinear(ties.values, ties.sds, unknowns.start, model);
  if (out.solution.converged) put_solution(unknowns, scale_free, out);
  complete(ties, mirrored, out);
  return out;
}

/// The ties as if found places stood alone.
Ties alone(Ties ties) {
  ties.places = nullptr;
  return ties;
}

/// A minimum that is out of the question beside the best: by the sds, with less than its square sum by V. V
/// has at most the number of stated coordinates times the weight of the sds, and half of it where places are
/// not round.
std::optional<Minimum> far_from_best(const Ties& ties, bool mirrored, double azimuth, double square_sum,
                                     double best) {
  const double share = 1 / (2 * static_cast<double>(ties.stated.size()));
  if (square_sum * share < best + 2 * kSameFit) return std::nullopt;
  Minimum out = refine(alone(ties), mirrored, false, azimuth, 1);
  out.square_sum *= share;
  return out;
}

Hand fit_fixed_scale(const Ties& ties, bool mirrored, std::optional<double> best) {
  std::vector<double> at(kDirections);
  const Wave wave = wave_of(ties, mirrored ? -1 : 1);
  const auto azimuth = [](std::size_t k) { return kSpacing * static_cast<double>(k); };
  for (std::size_t k = 0; k < at.size(); ++k) at[k] = square_sum_at(wave, turns()[k]);
  const auto [least, most] = std::minmax_element(at.begin(), at.end());
  Hand out;
  out.flat = *most - *least < kSameFit;
  if (out.flat) {
    out.minima.push_back(
        refine(ties, mirrored, false, azimuth(static_cast<std::size_t>(least - at.begin())), 1));
    return out;
  }
  struct Start {
    double azimuth, square_sum;
  };
  std::vector<Start> starts;
  for (std::size_t k = 0; k < at.size(); ++k) {
    const double before = at[(k + at.size() - 1) % at.size()], after = at[(k + 1) % at.size()];
    if (!(at[k] <= before && at[k] < after)) continue;
    const double there = minimum_between(wave, azimuth(k) - kSpacing, azimuth(k) + kSpacing);
    starts.push_back({there, square_sum_at(wave, {std::sin(there), std::cos(there)})});
  }
  if (ties.places)  // the best first, beside which others may be out of the question
    std::ranges::stable_sort(starts, {}, &Start::square_sum);
  for (const Start& start : starts) {
    if (!out.minima.empty())
      best = std::min(best.value_or(out.minima.front().square_sum), out.minima.front().square_sum);
    std::optional<Minimum> far;
    if (ties.places && best) far = far_from_best(ties, mirrored, start.azimuth, start.square_sum, *best);
    Minimum m = far ? std::move(*far) : refine(ties, mirrored, false, start.azimuth, 1);
    const bool known = std::any_of(out.minima.begin(), out.minima.end(), [&](const Minimum& other) {
      return turn_between(other.azimuth, m.azimuth) < 1e-4;
    });
    if (!known) out.minima.push_back(std::move(m));
  }
  std::stable_sort(out.minima.begin(), out.minima.end(),
                   [](const Minimum& a, const Minimum& b) { return a.square_sum < b.square_sum; });
  return out;
}

/// What the square sum rises by when the scale grows without end and all computed values shrink to nothing.
double explained_by(const Solution& s, std::span<const double> sds) {
  double sum = 0;
  for (std::size_t i = 0; i < s.computed.size(); ++i)
    sum += s.computed[i] * s.computed[i] / (sds[i] * sds[i]);
  return sum;
}

/// With the scale freed, sin A / s and cos A / s enter linearly: one minimum, no search.
Hand fit_free_scale(const Ties& ties, bool mirrored) {
  const double hand = mirrored ? -1 : 1;
  LinearProblem p{Matrix(ties.stated.size(), 2), ties.values, ties.sds};
  for (std::size_t i = 0; i < ties.stated.size(); ++i) {
    const Stated& t = ties.stated[i];
    p.design(i, 0) = t.axis == TieAxis::x ? t.easting : hand * t.northing;
    p.design(i, 1) = t.axis == TieAxis::x ? t.northing : -hand * t.easting;
  }
  const Solution linear = solve(p);
  Hand out;
  if (linear.rank == 1) {
    // One equation for both. Where its right side is nothing, it says in which direction +X lies, and no
    // length.
    LinearProblem one{Matrix(p.design.rows, 1), p.observed, p.sds};
    for (std::size_t i = 0; i < p.design.rows; ++i)
      one.design(i, 0) = p.design(i, 0) * linear.open(1, 0) - p.design(i, 1) * linear.open(0, 0);
    out.scale_flat = explained_by(solve(one), p.sds) < kSameFit;
  } else if (linear.full_rank) {
    out.scale_flat = explained_by(linear, p.sds) < kSameFit;
  }
  if (!linear.full_rank || out.scale_flat) {
    out.minima.push_back({});
    if (ties.places) out.minima.back().whitening.emplace(covariance_of(ties, mirrored, 0, 1));
    complete(ties, mirrored, out.minima.back());
    return out;
  }
  const double azimuth = std::atan2(linear.parameters[0], linear.parameters[1]);
  out.minima.push_back(
      refine(ties, mirrored, true, azimuth, 1 / std::hypot(linear.parameters[0], linear.parameters[1])));
  return out;
}

void centre_family(TieAxis axis, Ties& out, Family& family) {
  double value = 0, easting = 0, northing = 0;
  for (const Stated& t : out.stated) {
    if (t.axis != axis) continue;
    const double w = 1 / (t.sd * t.sd);
    ++family.count;
    family.weight += w;
    value += w * t.value;
    easting += w * t.easting;
    northing += w * t.northing;
  }
  if (family.count == 0) return;
  family.value = value / family.weight;
  family.easting = easting / family.weight;
  family.northing = northing / family.weight;
  for (Stated& t : out.stated) {
    if (t.axis != axis) continue;
    t.value -= family.value;
    t.easting -= family.easting;
    t.northing -= family.northing;
  }
}

}  // namespace

Ties centre(TieView ties) {
  Ties out;
  out.count = ties.size();
  out.places = ties.places();
  const auto sd_of = [&](std::size_t i, Length own) {
    return out.places ? hypot(own, place_sd(*out.places, i)).metres() : own.metres();
  };
  std::optional<double> first_x, first_y;
  for (std::size_t i = 0; i < ties.size(); ++i) {
    const Vec<Site> offset = ties[i].at - ties.front().at;  // exact where the ties lie together
    const double e = offset.by.easting.metres(), n = offset.by.northing.metres();
    if (ties[i].x) {
      const double x = ties[i].x->metres();
      if (!first_x) first_x = x;
      out.stated.push_back(
          {i, TieAxis::x, x - *first_x, e, n, sd_of(i, ties[i].sd_x), ties[i].sd_x.metres()});
    }
    if (ties[i].y) {
      const double y = ties[i].y->metres();
      if (!first_y) first_y = y;
      out.stated.push_back(
          {i, TieAxis::y, y - *first_y, e, n, sd_of(i, ties[i].sd_y), ties[i].sd_y.metres()});
    }
  }
  out.first_x = first_x.value_or(0);
  out.first_y = first_y.value_or(0);
  centre_family(TieAxis::x, out, out.x);
  centre_family(TieAxis::y, out, out.y);
  for (const Stated& t : out.stated) {
    out.values.push_back(t.value);
    out.sds.push_back(t.sd);
  }
  return out;
}

std::vector<double> residuals_at(const Ties& ties, bool mirrored, const Minimum& at) {
  const double hand = mirrored ? -1 : 1;
  const double sine = std::sin(at.azimuth) / at.scale, cosine = std::cos(at.azimuth) / at.scale;
  std::vector<double> out;
  for (const Stated& t : ties.stated)
    out.push_back(t.axis == TieAxis::x ? t.value - at.tx - (t.easting * sine + t.northing * cosine)
                                       : t.value - at.ty - hand * (t.northing * sine - t.easting * cosine));
  return out;
}

Hand fit_hand(const Ties& ties, bool mirrored, bool scale_free, std::optional<double> best) {
  return scale_free ? fit_free_scale(ties, mirrored) : fit_fixed_scale(ties, mirrored, best);
}

std::optional<UnitRatio> unit_ratio(double scale) {
  struct Unit {
    std::string_view word;
    LengthUnit unit;
  };
  constexpr Unit kUnits[] = {{"metres", LengthUnit::metre},
                             {"centimetres", LengthUnit::centimetre},
                             {"millimetres", LengthUnit::millimetre},
                             {"feet", LengthUnit::foot},
                             {"inches", LengthUnit::inch}};
  for (const Unit& drawing : kUnits) {
    for (const Unit& site : kUnits) {
      if (drawing.unit == site.unit) continue;
      const double ratio = metres_in(drawing.unit) / metres_in(site.unit);
      if (std::abs(scale / ratio - 1) < 0.01) return UnitRatio{drawing.word, site.word, ratio, scale};
    }
  }
  return std::nullopt;
}

}  // namespace deckmark::tie_fit
