// The same estimates computed another way, in extended precision: the misfit is written in site axes with
// unknowns E0, N0, A, s about the drawing's own origin, derivatives are differences, and normal equations are
// inverted outright.
#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "ties.h"

using namespace deckmark_test;

namespace {

using Real = long double;
using Vector = std::vector<Real>;
using Grid2 = std::vector<Vector>;

constexpr Real kPi = 3.14159265358979323846264338327950288L;

struct Job {
  std::vector<Tie> ties;
  bool mirrored, scale_free;
  Vector truth;  // E0, N0, A, s
  Point<Site> near_origin;
};

Job random_job(std::mt19937& random, bool mirrored, bool scale_free, bool always_both) {
  std::uniform_real_distribution<double> place(0, 60), azimuth(0, 360), sd(0.5, 4), far(0, 6e6);
  std::normal_distribution<double> normal;
  std::uniform_int_distribution<int> kind(0, 2);
  const Real a = azimuth(random) * kPi / 180, s = scale_free ? 1.0004L : 1.0L;
  const Real e0 = far(random), n0 = far(random), hand = mirrored ? -1 : 1;
  Job job{{}, mirrored, scale_free, {e0, n0, a, s}, site(static_cast<double>(e0), static_cast<double>(n0))};
  for (int i = 0; i < 8; ++i) {
    const Real x = place(random), y = place(random);
    const int states = always_both || i < 2 ? 0 : kind(random);
    Tie t{std::nullopt,
          std::nullopt,
          site(static_cast<double>(e0 + s * (x * std::sin(a) - hand * y * std::cos(a))),
               static_cast<double>(n0 + s * (x * std::cos(a) + hand * y * std::sin(a)))),
          mm(sd(random)),
          mm(sd(random)),
          mm(5)};
    if (states != 1) t.x = m(static_cast<double>(x) + t.sd_x.metres() * normal(random));
    if (states != 2) t.y = m(static_cast<double>(y) + t.sd_y.metres() * normal(random));
    job.ties.push_back(t);
  }
  return job;
}

struct Row {
  std::size_t tie;
  bool is_x;
  Real stated, sd;
};

std::vector<Row> rows_of(const Job& job) {
  std::vector<Row> out;
  for (std::size_t i = 0; i < job.ties.size(); ++i) {
    const Tie& t = job.ties[i];
    if (t.x) out.push_back({i, true, t.x->metres(), t.sd_x.metres()});
    if (t.y) out.push_back({i, false, t.y->metres(), t.sd_y.metres()});
  }
  return out;
}

Vector computed(const Job& job, const std::vector<Row>& rows, const Vector& p) {
  Vector out;
  for (const Row& r : rows) {
    const Real e = job.ties[r.tie].at.at.easting.metres() - p[0],
               n = job.ties[r.tie].at.at.northing.metres() - p[1];
    const Real x = (e * std::sin(p[2]) + n * std::cos(p[2])) / p[3];
    const Real y = (n * std::sin(p[2]) - e * std::cos(p[2])) / p[3];
    out.push_back(r.is_x ? x : job.mirrored ? -y : y);
  }
  return out;
}

Grid2 slopes(const Job& job, const std::vector<Row>& rows, const Vector& p,
             const std::vector<std::size_t>& unknowns) {
  Grid2 out(rows.size(), Vector(unknowns.size()));
  for (std::size_t j = 0; j < unknowns.size(); ++j) {
    const Real h = unknowns[j] < 2 ? 1e-3L : 1e-6L;
    Vector up = p, down = p;
    up[unknowns[j]] += h;
    down[unknowns[j]] -= h;
    const Vector a = computed(job, rows, up), b = computed(job, rows, down);
    for (std::size_t i = 0; i < rows.size(); ++i) out[i][j] = (a[i] - b[i]) / (2 * h);
  }
  return out;
}

Grid2 inverse(Grid2 m) {
  const std::size_t n = m.size();
  for (std::size_t j = 0; j < n; ++j) {
    m[j].resize(2 * n, 0);
    m[j][n + j] = 1;
  }
  for (std::size_t j = 0; j < n; ++j) {
    std::size_t best = j;
    for (std::size_t k = j; k < n; ++k)
      if (std::abs(m[k][j]) > std::abs(m[best][j])) best = k;
    std::swap(m[j], m[best]);
    const Real pivot = m[j][j];
    for (Real& v : m[j]) v /= pivot;
    for (std::size_t k = 0; k < n; ++k) {
      const Real f = m[k][j];
      if (k != j)
        for (std::size_t c = 0; c < 2 * n; ++c) m[k][c] -= f * m[j][c];
    }
  }
  for (Vector& row : m) row.erase(row.begin(), row.begin() + static_cast<long>(n));
  return m;
}

/// Estimator (A'PA)^-1 A'P over the rows that `used` keeps, zeros elsewhere.
Grid2 estimator(const Grid2& a, const std::vector<Row>& rows, const std::vector<bool>& used) {
  const std::size_t u = a[0].size();
  Grid2 normal(u, Vector(u)), out(u, Vector(rows.size()));
  for (std::size_t i = 0; i < rows.size(); ++i)
    for (std::size_t j = 0; used[i] && j < u; ++j)
      for (std::size_t k = 0; k < u; ++k) normal[j][k] += a[i][j] * a[i][k] / (rows[i].sd * rows[i].sd);
  const Grid2 q = inverse(normal);
  for (std::size_t j = 0; j < u; ++j)
    for (std::size_t i = 0; i < rows.size(); ++i)
      for (std::size_t k = 0; used[i] && k < u; ++k)
        out[j][i] += q[j][k] * a[i][k] / (rows[i].sd * rows[i].sd);
  return out;
}

struct Answer {
  Vector parameters;
  Grid2 g;
};

Answer fit_shared(const Job& job, const std::vector<Row>& rows) {
  std::vector<std::size_t> unknowns{0, 1, 2};
  if (job.scale_free) unknowns.push_back(3);
  Vector p = job.truth;
  Grid2 g;
  for (int step = 0; step < 12; ++step) {
    g = estimator(slopes(job, rows, p, unknowns), rows, std::vector<bool>(rows.size(), true));
    const Vector at = computed(job, rows, p);
    for (std::size_t j = 0; j < unknowns.size(); ++j)
      for (std::size_t i = 0; i < rows.size(); ++i) p[unknowns[j]] += g[j][i] * (rows[i].stated - at[i]);
  }
  return {p, g};
}

/// Direction and one drawing shift from the leading family by a search that knows no derivatives (golden
/// section on its own weighted square sum), then the other shift as a weighted mean; written with drawing
/// shifts u, v and turned into E0, N0 at the end. The linear estimator follows from its defining equations.
Answer fit_held(const Job& job, const std::vector<Row>& rows, bool hold_x) {
  const auto shift_of = [&](Real azimuth, bool x_family) {
    Vector p = job.truth;
    p[2] = azimuth;
    const Vector at = computed(job, rows, p);
    Real sum = 0, weight = 0;
    for (std::size_t i = 0; i < rows.size(); ++i) {
      if (rows[i].is_x != x_family) continue;
      const Real w = 1 / (rows[i].sd * rows[i].sd);
      sum += w * (rows[i].stated - at[i]);
      weight += w;
    }
    return sum / weight;
  };
  const auto square_sum = [&](Real azimuth) {
    Vector p = job.truth;
    p[2] = azimuth;
    const Vector at = computed(job, rows, p);
    const Real shift = shift_of(azimuth, !hold_x);
    Real sum = 0;
    for (std::size_t i = 0; i < rows.size(); ++i)
      if (rows[i].is_x != hold_x) sum += std::pow((rows[i].stated - at[i] - shift) / rows[i].sd, 2);
    return sum;
  };
  Real low = job.truth[2] - 0.01L, high = job.truth[2] + 0.01L;
  const Real golden = (std::sqrt(5.0L) - 1) / 2;
  for (int k = 0; k < 60; ++k) {
    const Real a = high - golden * (high - low), b = low + golden * (high - low);
    (square_sum(a) < square_sum(b) ? high : low) = square_sum(a) < square_sum(b) ? b : a;
  }
  // Parabola through three points: the section search alone stops at the square root of the precision. Its
  // cubic term costs about h^2.
  const Real centre = (low + high) / 2, h = 1e-6L;
  const Real f0 = square_sum(centre - h), f1 = square_sum(centre), f2 = square_sum(centre + h);
  Vector p = job.truth;
  p[2] = centre + h * (f0 - f2) / (2 * (f0 - 2 * f1 + f2));
  const Real hand = job.mirrored ? -1 : 1, u = shift_of(p[2], true), v = shift_of(p[2], false);
  p[0] -= u * std::sin(p[2]) - hand * v * std::cos(p[2]);
  p[1] -= u * std::cos(p[2]) + hand * v * std::sin(p[2]);

  // E0, N0, A change so that: the leading rows' own normal equations hold, and the other rows' weighted sum
  // is zero.
  const Grid2 a = slopes(job, rows, p, {0, 1, 2});
  Grid2 left(3, Vector(3)), right(3, Vector(rows.size()));
  const auto demand = [&](std::size_t equation, const auto& weight_of) {
    for (std::size_t i = 0; i < rows.size(); ++i) {
      right[equation][i] = weight_of(i);
      for (std::size_t k = 0; k < 3; ++k) left[equation][k] += weight_of(i) * a[i][k];
    }
  };
  // Slope of the leading family by A with its shift free: that by A alone, minus its weighted mean.
  Real mean = 0, weight = 0;
  std::vector<Real> turn(rows.size());
  const Grid2 about = slopes(job, rows, p, {2});
  for (std::size_t i = 0; i < rows.size(); ++i) {
    if (rows[i].is_x == hold_x) continue;
    mean += about[i][0] / (rows[i].sd * rows[i].sd);
    weight += 1 / (rows[i].sd * rows[i].sd);
  }
  for (std::size_t i = 0; i < rows.size(); ++i) turn[i] = about[i][0] - mean / weight;
  demand(0, [&](std::size_t i) { return rows[i].is_x != hold_x ? turn[i] / (rows[i].sd * rows[i].sd) : 0; });
  demand(1, [&](std::size_t i) { return rows[i].is_x != hold_x ? 1 / (rows[i].sd * rows[i].sd) : 0; });
  demand(2, [&](std::size_t i) { return rows[i].is_x == hold_x ? 1 / (rows[i].sd * rows[i].sd) : 0; });
  const Grid2 q = inverse(left);
  Grid2 g(3, Vector(rows.size()));
  for (std::size_t j = 0; j < 3; ++j)
    for (std::size_t i = 0; i < rows.size(); ++i)
      for (std::size_t k = 0; k < 3; ++k) g[j][i] += q[j][k] * right[k][i];
  return {p, g};
}

void check_against(const Job& job, const BaselineResult& r, const std::vector<Row>& rows,
                   const Answer& want) {
  REQUIRE(r.status == FitStatus::solved);
  REQUIRE(r.rows.size() == rows.size());
  std::vector<std::size_t> unknowns{0, 1, 2};
  if (job.scale_free) unknowns.push_back(3);
  const Grid2 a = slopes(job, rows, want.parameters, unknowns);
  const Vector at = computed(job, rows, want.parameters);
  const std::size_t n = rows.size(), u = unknowns.size();
  Real square_sum = 0;
  for (std::size_t i = 0; i < n; ++i) {
    Vector left(n);
    Real variance = 0;
    for (std::size_t k = 0; k < n; ++k) {
      left[k] = i == k ? 1 : 0;
      for (std::size_t j = 0; j < u; ++j) left[k] -= a[i][j] * want.g[j][k];
      variance += left[k] * left[k] * rows[k].sd * rows[k].sd;
    }
    const Real v = rows[i].stated - at[i];
    square_sum += v * v / (rows[i].sd * rows[i].sd);
    CHECK(std::abs(r.rows[i].residual.metres() - static_cast<double>(v)) < 3e-9);
    CHECK(std::abs(r.rows[i].redundancy - static_cast<double>(left[i])) < 1e-8);
    REQUIRE(r.rows[i].standardised.has_value());
    CHECK(std::abs(*r.rows[i].standardised - static_cast<double>(v / std::sqrt(variance))) < 1e-4);
  }
  CHECK(r.degrees_of_freedom == n - u);
  CHECK(*r.variance_factor ==
        doctest::Approx(static_cast<double>(square_sum / static_cast<Real>(n - u))).epsilon(1e-5));
  // Covariance of mapped points, from E0, N0, A, s.
  for (const auto& place : {drawing(0, 0), drawing(60, 0), drawing(12, 75)}) {
    const Real x = place.at.x.metres(), y = (job.mirrored ? -1 : 1) * place.at.y.metres();
    const Real s = std::sin(want.parameters[2]), c = std::cos(want.parameters[2]), k = want.parameters[3];
    const Real by[2][4] = {{0, 1, k * (-x * s + y * c), x * c + y * s},
                           {1, 0, k * (x * c + y * s), x * s - y * c}};
    Real cov[2][2] = {{0, 0}, {0, 0}};
    for (std::size_t i = 0; i < n; ++i) {
      Real moved[2] = {0, 0};
      for (std::size_t j = 0; j < u; ++j)
        for (int axis = 0; axis < 2; ++axis) moved[axis] += by[axis][unknowns[j]] * want.g[j][i] * rows[i].sd;
      for (int p = 0; p < 2; ++p)
        for (int q = 0; q < 2; ++q) cov[p][q] += moved[p] * moved[q];
    }
    const PlanCovariance<Site> got = r.fit->covariance_at(place);
    const double scale = static_cast<double>(cov[0][0] + cov[1][1]);
    CHECK(std::abs(got.first - static_cast<double>(cov[0][0])) < 1e-6 * scale);
    CHECK(std::abs(got.cross - static_cast<double>(cov[0][1])) < 1e-6 * scale);
    CHECK(std::abs(got.second - static_cast<double>(cov[1][1])) < 1e-6 * scale);
    // The mapped place itself.
    const Real e = want.parameters[0] + k * (x * s - y * c), nn = want.parameters[1] + k * (x * c + y * s);
    const auto mapped = r.fit->site_from_drawing(place).at;
    CHECK(std::abs(static_cast<double>(mapped.easting.metres() - e)) < 3e-9);
    CHECK(std::abs(static_cast<double>(mapped.northing.metres() - nn)) < 3e-9);
  }
}

}  // namespace

TEST_CASE("shared misfit agrees with an independent computation") {
  std::mt19937 random(1);
  for (int trial = 0; trial < 60; ++trial) {
    CAPTURE(trial);
    const Job job = random_job(random, trial % 2 == 1, trial % 4 >= 2, trial % 3 == 0);
    BaselineOptions options;
    options.mirrored = job.mirrored;
    options.scale_free = job.scale_free;
    const auto rows = rows_of(job);
    check_against(job, fit_baselines(job.ties, options, {}), rows, fit_shared(job, rows));
  }
}

TEST_CASE("held baselines agree with an independent computation") {
  std::mt19937 random(1);
  for (int trial = 0; trial < 60; ++trial) {
    CAPTURE(trial);
    const Job job = random_job(random, trial % 2 == 1, false, trial % 3 == 0);
    BaselineOptions options;
    options.mirrored = job.mirrored;
    options.hold = trial % 4 >= 2 ? Hold::x : Hold::y;
    const auto rows = rows_of(job);
    check_against(job, fit_baselines(job.ties, options, {}), rows,
                  fit_held(job, rows, options.hold == Hold::x));
  }
}

TEST_CASE("exact ties in the millions lose nothing") {
  // Directions from a 3-4-5 triangle and quarters of a metre are exact in binary.
  for (const bool mirrored : {false, true}) {
    std::vector<Tie> set;
    const double hand = mirrored ? -1 : 1;
    for (const auto& [x, y] : {std::pair{0.0, 0.0}, {40.0, 0.0}, {40.0, 30.0}, {0.0, 30.0}, {10.0, 5.0}})
      set.push_back({m(3e6 + x), m(7e6 + y),
                     site(5123456.25 + (4 * x - hand * 3 * y) / 5, 4654321.75 + (3 * x + hand * 4 * y) / 5),
                     mm(1.5), mm(1.5), mm(5)});
    BaselineOptions options;
    options.mirrored = mirrored;
    const auto r = fit_baselines(set, options, {});
    REQUIRE(r.status == FitStatus::solved);
    for (const TieRow& row : r.rows) CHECK(std::abs(row.residual.metres()) < 2e-9);
    const auto p = r.fit->site_from_drawing(drawing(3e6 + 20, 7e6 + 10)).at;
    CHECK(std::abs(p.easting.metres() - (5123456.25 + (80 - hand * 30) / 5)) < 2e-9);
    CHECK(std::abs(p.northing.metres() - (4654321.75 + (60 + hand * 40) / 5)) < 2e-9);
  }
}
