#include "baseline/tie_fit.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "adjust/dual.h"

namespace deckmark::tie_fit {

namespace {

constexpr int kDirections = 720;  // half a degree apart

/// The weighted square sum at scale 1 over the azimuth A with s = sin A, c = cos A:
/// constant - 2 (p s + q c) + u s^2 + 2 v s c + w c^2.
struct Wave {
  double constant = 0, p = 0, q = 0, u = 0, v = 0, w = 0;
};

Wave wave_of(const Ties& ties, double hand) {
  Wave f;
  for (const Stated& t : ties.stated) {
    const double weight = 1 / (t.sd * t.sd);
    // Each computed value is a s + b c.
    const double a = t.axis == TieAxis::x ? t.easting : hand * t.northing;
    const double b = t.axis == TieAxis::x ? t.northing : -hand * t.easting;
    f.constant += weight * t.value * t.value;
    f.p += weight * t.value * a;
    f.q += weight * t.value * b;
    f.u += weight * a * a;
    f.v += weight * a * b;
    f.w += weight * b * b;
  }
  return f;
}

/// Sine and cosine of an azimuth.
struct Turn {
  double sine, cosine;
};

double square_sum_at(const Wave& f, const Turn& t) {
  return f.constant + t.sine * (f.u * t.sine + 2 * (f.v * t.cosine - f.p)) +
         t.cosine * (f.w * t.cosine - 2 * f.q);
}

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

/// Half its derivative.
double slope_at(const Wave& f, double azimuth) {
  const double s = std::sin(azimuth), c = std::cos(azimuth);
  return f.q * s - f.p * c + (f.u - f.w) * s * c + f.v * (c - s) * (c + s);
}

/// The minimum between two azimuths around it. By halving: where misfits are of the size of the site, as with
/// a wrong tie, Gauss-Newton alone wanders.
double minimum_between(const Wave& f, double low, double high) {
  for (int k = 0; k < 60; ++k) {
    const double middle = low + (high - low) / 2;
    (slope_at(f, middle) < 0 ? low : high) = middle;
  }
  return low + (high - low) / 2;
}

void complete(const Ties& ties, bool mirrored, Minimum& at) {
  at.residuals = residuals_at(ties, mirrored, at);
  at.square_sum = 0;
  double plain = 0;
  for (std::size_t i = 0; i < at.residuals.size(); ++i) {
    const double v = at.residuals[i];
    at.square_sum += v * v / (ties.sds[i] * ties.sds[i]);
    plain += v * v;
  }
  at.misfit = std::sqrt(plain / static_cast<double>(ties.count));
}

/// All unknowns at once: tx, ty, A and, where freed, s; no shift of a family without ties.
Minimum refine(const Ties& ties, bool mirrored, bool scale_free, double azimuth, double scale) {
  using D = Dual<4>;
  const double hand = mirrored ? -1 : 1;
  std::vector<double> start;
  std::vector<std::size_t> unknowns;  // of the four
  const auto add = [&](std::size_t index, double value) {
    unknowns.push_back(index);
    start.push_back(value);
  };
  if (ties.x.count > 0) add(0, 0);
  if (ties.y.count > 0) add(1, 0);
  add(2, azimuth);
  if (scale_free) add(3, scale);
  const auto spread = [&](std::span<const double> p) {
    std::array<double, 4> all{0, 0, 0, 1};
    for (std::size_t j = 0; j < p.size(); ++j) all[unknowns[j]] = p[j];
    return all;
  };
  const Model model = [&](std::span<const double> p, std::span<double> computed, Matrix& design) {
    const auto all = spread(p);
    const D tx = D::unknown(all[0], 0), ty = D::unknown(all[1], 1), a = D::unknown(all[2], 2);
    const D s = D::unknown(all[3], 3), sine = sin(a) / s, cosine = cos(a) / s;
    for (std::size_t i = 0; i < ties.stated.size(); ++i) {
      const Stated& t = ties.stated[i];
      const D at = t.axis == TieAxis::x ? tx + t.easting * sine + t.northing * cosine
                                        : ty + hand * (t.northing * sine - t.easting * cosine);
      computed[i] = at.value;
      for (std::size_t j = 0; j < p.size(); ++j) design(i, j) = at.slope[unknowns[j]];
    }
  };
  Minimum out;
  out.azimuth = azimuth;
  out.scale = scale;
  out.solution = solve_nonlinear(ties.values, ties.sds, start, model);
  const NonlinearSolution& s = out.solution;
  if (s.converged) {
    const auto all = spread(s.parameters);
    out.tx = all[0];
    out.ty = all[1];
    out.azimuth = all[2];
    out.scale = all[3];
    const std::size_t turn = start.size() - (scale_free ? 2 : 1);
    out.determined =
        std::sqrt(s.covariance(turn, turn)) <= kOpenTurn &&
        (!scale_free || std::sqrt(s.covariance(turn + 1, turn + 1)) <= kOpenScale * std::abs(out.scale));
  }
  complete(ties, mirrored, out);
  return out;
}

double turn_between(double a, double b) { return std::abs(std::remainder(a - b, 2 * std::numbers::pi)); }

Hand fit_fixed_scale(const Ties& ties, bool mirrored) {
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
  for (std::size_t k = 0; k < at.size(); ++k) {
    const double before = at[(k + at.size() - 1) % at.size()], after = at[(k + 1) % at.size()];
    if (!(at[k] <= before && at[k] < after)) continue;
    const double start = minimum_between(wave, azimuth(k) - kSpacing, azimuth(k) + kSpacing);
    Minimum m = refine(ties, mirrored, false, start, 1);
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

Ties centre(std::span<const Tie> ties) {
  Ties out;
  out.count = ties.size();
  std::optional<double> first_x, first_y;
  for (std::size_t i = 0; i < ties.size(); ++i) {
    const Vec<Site> offset = ties[i].at - ties.front().at;  // exact where the ties lie together
    const double e = offset.by.easting.metres(), n = offset.by.northing.metres();
    if (ties[i].x) {
      const double x = ties[i].x->metres();
      if (!first_x) first_x = x;
      out.stated.push_back({i, TieAxis::x, x - *first_x, e, n, ties[i].sd_x.metres()});
    }
    if (ties[i].y) {
      const double y = ties[i].y->metres();
      if (!first_y) first_y = y;
      out.stated.push_back({i, TieAxis::y, y - *first_y, e, n, ties[i].sd_y.metres()});
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

Hand fit_hand(const Ties& ties, bool mirrored, bool scale_free) {
  return scale_free ? fit_free_scale(ties, mirrored) : fit_fixed_scale(ties, mirrored);
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
