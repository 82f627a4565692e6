// Ties with a covariance of their found places, against a dense computation of its own in extended precision:
// unknowns are the site place of the drawing centre, azimuth and scale, derivatives are differences, and
// normal equations are inverted outright.
#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "joint.h"

using namespace deckmark_test;

namespace {

using Real = long double;
using Vector = std::vector<Real>;
using Dense = std::vector<Vector>;

Dense zeros(std::size_t rows, std::size_t cols) { return Dense(rows, Vector(cols)); }
Dense transposed(const Dense& a) {
  Dense out = zeros(a[0].size(), a.size());
  for (std::size_t i = 0; i < a.size(); ++i)
    for (std::size_t j = 0; j < a[0].size(); ++j) out[j][i] = a[i][j];
  return out;
}
Dense operator*(const Dense& a, const Dense& b) {
  Dense out = zeros(a.size(), b[0].size());
  for (std::size_t i = 0; i < a.size(); ++i)
    for (std::size_t k = 0; k < b.size(); ++k)
      for (std::size_t j = 0; j < b[0].size(); ++j) out[i][j] += a[i][k] * b[k][j];
  return out;
}
Dense inverse(Dense a) {
  const std::size_t n = a.size();
  Dense out = zeros(n, n);
  for (std::size_t j = 0; j < n; ++j) out[j][j] = 1;
  for (std::size_t j = 0; j < n; ++j) {
    std::size_t best = j;
    for (std::size_t k = j; k < n; ++k)
      if (std::abs(a[k][j]) > std::abs(a[best][j])) best = k;
    std::swap(a[j], a[best]);
    std::swap(out[j], out[best]);
    const Real pivot = a[j][j];
    for (std::size_t c = 0; c < n; ++c) a[j][c] /= pivot, out[j][c] /= pivot;
    for (std::size_t k = 0; k < n; ++k) {
      const Real f = a[k][j];
      if (k != j)
        for (std::size_t c = 0; c < n; ++c) a[k][c] -= f * a[j][c], out[k][c] -= f * out[j][c];
    }
  }
  return out;
}

struct Row {
  std::size_t tie;
  bool is_x;
  Real stated, sd;
};

/// A set of ties as numbers about one drawing place.
struct Set {
  std::vector<Row> rows;
  Dense found;  // northing, easting of each tie from the site centre
  Dense sigma;
  Real centre_x = 0, centre_y = 0;
  bool mirrored = false;

  Vector computed(const Vector& p, const Dense& places) const {  // p: E0, N0, A, s
    Vector out;
    for (const Row& r : rows) {
      const Real n = places[r.tie][0] - p[1], e = places[r.tie][1] - p[0];
      const Real x = (e * std::sin(p[2]) + n * std::cos(p[2])) / p[3];
      const Real y = (n * std::sin(p[2]) - e * std::cos(p[2])) / p[3];
      out.push_back(r.is_x ? centre_x + x : centre_y + (mirrored ? -y : y));
    }
    return out;
  }
  Dense design(const Vector& p, std::size_t unknowns) const {
    Dense out = zeros(rows.size(), unknowns);
    for (std::size_t j = 0; j < unknowns; ++j) {
      Vector up = p, down = p;
      const Real h = 1e-5L;
      up[j] += h;
      down[j] -= h;
      const Vector a = computed(up, found), b = computed(down, found);
      for (std::size_t i = 0; i < rows.size(); ++i) out[i][j] = (a[i] - b[i]) / (2 * h);
    }
    return out;
  }
  /// Of computed values by the found places.
  Dense by_places(const Vector& p) const {
    Dense out = zeros(rows.size(), 2 * found.size());
    for (std::size_t j = 0; j < 2 * found.size(); ++j) {
      Dense moved = found;
      moved[j / 2][j % 2] += 1;
      const Vector a = computed(p, moved), b = computed(p, found);
      for (std::size_t i = 0; i < rows.size(); ++i) out[i][j] = a[i] - b[i];
    }
    return out;
  }
  Dense covariance(const Vector& p) const {
    const Dense b = by_places(p);
    Dense v = b * sigma * transposed(b);
    for (std::size_t i = 0; i < rows.size(); ++i) v[i][i] += rows[i].sd * rows[i].sd;
    return v;
  }
};

Set set_of(const std::vector<Tie>& ties, const Matrix& places, const SimilarityParts& about) {
  Set out;
  out.mirrored = about.mirrored;
  out.centre_x = about.drawing_centre.at.x.metres();
  out.centre_y = about.drawing_centre.at.y.metres();
  for (std::size_t i = 0; i < ties.size(); ++i) {
    const Vec<Site> d = ties[i].at - about.site_centre;
    out.found.push_back({d.by.northing.metres(), d.by.easting.metres()});
    if (ties[i].x) out.rows.push_back({i, true, ties[i].x->metres(), ties[i].sd_x.metres()});
    if (ties[i].y) out.rows.push_back({i, false, ties[i].y->metres(), ties[i].sd_y.metres()});
  }
  out.sigma = zeros(places.rows, places.cols);
  for (std::size_t i = 0; i < places.rows; ++i)
    for (std::size_t j = 0; j < places.cols; ++j) out.sigma[i][j] = places(i, j);
  return out;
}

/// The estimator by which stated coordinates give the parameters: least squares by V; or, with a held
/// baseline, the leading family by its own block of V, then the mean of the other by its own block.
Dense estimator(const Set& set, const Vector& p, std::size_t unknowns, Hold hold) {
  const Dense a = set.design(p, unknowns), v = set.covariance(p);
  if (hold == Hold::both) {
    const Dense w = transposed(a) * inverse(v);
    return inverse(w * a) * w;
  }
  // Drawing shifts u, v and A in place of E0, N0, A: two equations of the leading family, one of the other.
  std::vector<std::size_t> lead, other;
  for (std::size_t i = 0; i < set.rows.size(); ++i)
    (set.rows[i].is_x == (hold == Hold::y) ? lead : other).push_back(i);
  const auto block = [&](const std::vector<std::size_t>& rows) {
    Dense out = zeros(rows.size(), rows.size());
    for (std::size_t i = 0; i < rows.size(); ++i)
      for (std::size_t j = 0; j < rows.size(); ++j) out[i][j] = v[rows[i]][rows[j]];
    return inverse(out);
  };
  const Dense weight_lead = block(lead), weight_other = block(other);
  Dense equations = zeros(3, set.rows.size());  // equations * (l - A dp) = 0
  for (std::size_t i = 0; i < lead.size(); ++i)
    for (std::size_t j = 0; j < lead.size(); ++j) {
      equations[0][lead[j]] += weight_lead[i][j];
      equations[1][lead[j]] += a[lead[i]][2] * weight_lead[i][j];
    }
  for (std::size_t i = 0; i < other.size(); ++i)
    for (std::size_t j = 0; j < other.size(); ++j) equations[2][other[j]] += weight_other[i][j];
  return inverse(equations * a) * equations;
}

struct Answer {
  Vector p, residuals;
  Dense g, v;
};
Answer answer_of(const Set& set, const SimilarityParts& near, std::size_t unknowns, Hold hold) {
  Answer out;
  out.p = {0, 0, near.azimuth_x.degrees() * 3.14159265358979323846264338327950288L / 180, near.scale};
  for (int step = 0; step < 8; ++step) {
    out.g = estimator(set, out.p, unknowns, hold);
    const Vector at = set.computed(out.p, set.found);
    out.residuals.clear();
    for (std::size_t i = 0; i < at.size(); ++i) out.residuals.push_back(set.rows[i].stated - at[i]);
    for (std::size_t j = 0; j < unknowns; ++j)
      for (std::size_t i = 0; i < at.size(); ++i) out.p[j] += out.g[j][i] * out.residuals[i];
  }
  out.v = set.covariance(out.p);
  return out;
}

/// An error in one stated coordinate as one unknown more: its estimate and sd.
std::pair<Real, Real> single_error(const Set& set, const Answer& want, std::size_t row,
                                   std::size_t unknowns) {
  Dense a = set.design(want.p, unknowns);
  for (std::size_t i = 0; i < a.size(); ++i) a[i].push_back(i == row ? 1 : 0);
  const Dense w = transposed(a) * inverse(want.v), n = inverse(w * a);
  Dense v;
  for (const Real r : want.residuals) v.push_back({r});
  return {(n * (w * v))[unknowns][0], std::sqrt(n[unknowns][unknowns])};
}

void check_parameters(const BaselineResult& r, const Set& set, const Answer& want, std::size_t unknowns) {
  const SimilarityParts& parts = r.fit->site_from_drawing.parts();
  for (const std::size_t j : {0U, 1U}) CHECK(std::abs(static_cast<double>(want.p[j])) < 3e-9);
  CHECK(std::abs(parts.azimuth_x.degrees() * 3.14159265358979323846 / 180 - static_cast<double>(want.p[2])) <
        1e-10);
  CHECK(std::abs(parts.scale - static_cast<double>(want.p[3])) < 1e-10);
  const Dense covariance = want.g * want.v * transposed(want.g), gain = want.g * set.by_places(want.p);
  for (std::size_t j = 0; j < 4; ++j) {
    for (std::size_t k = 0; k < 4; ++k) {
      const bool is_free = j < unknowns && k < unknowns;
      const double own = is_free ? static_cast<double>(covariance[j][k]) : 0;
      const double size =
          is_free ? static_cast<double>(std::sqrt(covariance[j][j] * covariance[k][k])) : 1e-20;
      CHECK(std::abs(r.fit->covariance[j][k] - own) <= 1e-6 * size);
    }
    for (std::size_t k = 0; k < gain[0].size(); ++k)
      CHECK(std::abs(r.gain(j, k) - (j < unknowns ? -static_cast<double>(gain[j][k]) : 0)) < 1e-7);
  }
}

void check_against(const BaselineResult& r, const Set& set, const Answer& want, std::size_t unknowns) {
  const std::size_t n = set.rows.size();
  REQUIRE(r.rows.size() == n);
  check_parameters(r, set, want, unknowns);
  Dense left = set.design(want.p, unknowns) * want.g;
  for (std::size_t i = 0; i < n; ++i)
    for (std::size_t k = 0; k < n; ++k) left[i][k] = (i == k ? 1 : 0) - left[i][k];
  const Dense q = left * want.v * transposed(left), weights = inverse(want.v);
  double redundancy = 0;
  Real square_sum = 0;
  for (std::size_t i = 0; i < n; ++i) {
    const TieRow& row = r.rows[i];
    const Real v = want.residuals[i];
    CHECK(std::abs(row.residual.metres() - static_cast<double>(v)) < 3e-9);
    CHECK(row.sd.metres() == doctest::Approx(static_cast<double>(std::sqrt(want.v[i][i]))).epsilon(1e-9));
    CHECK(std::abs(row.redundancy - static_cast<double>(left[i][i])) < 1e-7);
    CHECK(row.residual_sd.metres() == doctest::Approx(static_cast<double>(std::sqrt(q[i][i]))).epsilon(1e-6));
    REQUIRE(row.standardised.has_value());
    CHECK(std::abs(*row.standardised - static_cast<double>(v / std::sqrt(q[i][i]))) < 1e-4);
    redundancy += row.redundancy;
    for (std::size_t k = 0; k < n; ++k) square_sum += v * weights[i][k] * want.residuals[k];
    CHECK(row.error.has_value() == (r.options.hold == Hold::both));
    if (!row.error) continue;
    const auto [error, sd] = single_error(set, want, i, unknowns);
    CHECK(std::abs(row.error->by.metres() - static_cast<double>(error)) < 1e-7);
    CHECK(row.error->sd.metres() == doctest::Approx(static_cast<double>(sd)).epsilon(1e-6));
  }
  CHECK(r.degrees_of_freedom == n - unknowns);
  CHECK(redundancy == doctest::Approx(static_cast<double>(n - unknowns)).epsilon(1e-9));
  CHECK(*r.variance_factor ==
        doctest::Approx(static_cast<double>(square_sum / static_cast<Real>(n - unknowns))).epsilon(1e-5));
}

BaselineOptions options_of(int trial) {
  BaselineOptions out;
  out.mirrored = trial % 2 == 1;
  if (trial % 3 == 1) out.scale_free = true;
  if (trial % 3 == 2) out.hold = trial % 4 >= 2 ? Hold::x : Hold::y;
  return out;
}

}  // namespace

TEST_CASE("ties that share errors: fit and quality agree with a dense computation") {
  std::mt19937 random(1);
  for (int trial = 0; trial < 48; ++trial) {
    CAPTURE(trial);
    const BaselineOptions options = options_of(trial);
    const JointJob job = joint_job(random, 9, options.mirrored, trial % 5 != 0);
    const std::vector<Tie> ties = found_ties(job, random);
    const BaselineResult r = fit_baselines({ties, &job.places}, options, {});
    REQUIRE(r.status == FitStatus::solved);
    const SimilarityParts& parts = r.fit->site_from_drawing.parts();
    const Set set = set_of(ties, job.places, parts);
    const std::size_t unknowns = options.scale_free ? 4 : 3;
    check_against(r, set, answer_of(set, parts, unknowns, options.hold), unknowns);
  }
}

TEST_CASE("a found place that moves takes the baselines with it by the gain") {
  std::mt19937 random(2);
  for (int trial = 0; trial < 12; ++trial) {
    CAPTURE(trial);
    const BaselineOptions options = options_of(trial);
    const JointJob job = joint_job(random, 7, options.mirrored, trial % 5 != 0);
    const std::vector<Tie> ties = found_ties(job, random);
    const Matrix* places = trial < 9 ? &job.places : nullptr;
    const BaselineResult r = fit_baselines({ties, places}, options, {});
    REQUIRE(r.status == FitStatus::solved);
    REQUIRE(r.gain.rows == 4);
    REQUIRE(r.gain.cols == 2 * ties.size());
    const SimilarityParts& parts = r.fit->site_from_drawing.parts();
    for (std::size_t k = 0; k < r.gain.cols; ++k) {
      std::vector<Tie> moved = ties;
      (k % 2 == 0 ? moved[k / 2].at.at.northing : moved[k / 2].at.at.easting) += mm(0.1);
      const BaselineResult again = fit_baselines({moved, places}, options, {});
      REQUIRE(again.status == FitStatus::solved);
      const SimilarityParts& now = again.fit->site_from_drawing.parts();
      const Vec<Site> shift = again.fit->site_from_drawing(parts.drawing_centre) - parts.site_centre;
      CAPTURE(k);
      // Misfits of some mm on 40 m bend the gain by some 1e-4 of itself; places in the millions end at 1e-9
      // m.
      CHECK(std::abs(shift.by.easting.millimetres() / 0.1 - r.gain(0, k)) < 3e-4);
      CHECK(std::abs(shift.by.northing.millimetres() / 0.1 - r.gain(1, k)) < 3e-4);
      CHECK(std::abs((now.azimuth_x - parts.azimuth_x).radians() / 1e-4 - r.gain(2, k)) < 3e-5);
      CHECK(std::abs((now.scale - parts.scale) / 1e-4 - r.gain(3, k)) < 3e-5);
    }
  }
}

TEST_CASE("places that share nothing and are round give the fit of shot sds") {
  std::mt19937 random(3);
  for (int trial = 0; trial < 12; ++trial) {
    CAPTURE(trial);
    BaselineOptions options = options_of(trial);
    if (options.scale_free) options = {.hold = Hold::y};  // a scale would divide the covariance, but no sds
    JointJob job = joint_job(random, 8, options.mirrored, trial % 5 != 0);
    std::vector<Tie> ties = found_ties(job, random), shot = ties;
    job.places = Matrix(16, 16);
    for (std::size_t i = 0; i < ties.size(); ++i) {
      const double sd = i == 2 ? 0 : 0.0004 * static_cast<double>(i + 1);
      shot[i].shot_sd_northing = shot[i].shot_sd_easting = m(sd);
      job.places(2 * i, 2 * i) = job.places(2 * i + 1, 2 * i + 1) = sd * sd;
    }
    const BaselineResult r = fit_baselines({ties, &job.places}, options, {});
    const BaselineResult want = fit_baselines(with_shot_sds(shot), options, {});
    REQUIRE(r.status == FitStatus::solved);
    for (std::size_t i = 0; i < r.rows.size(); ++i) {
      CHECK(std::abs((r.rows[i].residual - want.rows[i].residual).metres()) < 1e-9);
      CHECK(std::abs(r.rows[i].redundancy - want.rows[i].redundancy) < 1e-9);
      CHECK(std::abs(*r.rows[i].standardised - *want.rows[i].standardised) < 1e-5);
      CHECK(r.rows[i].sd.metres() == doctest::Approx(want.rows[i].sd.metres()).epsilon(1e-12));
      if (options.hold != Hold::both) continue;
      CHECK(r.rows[i].error->by.metres() ==
            doctest::Approx((want.rows[i].residual / want.rows[i].redundancy).metres()).epsilon(1e-5));
    }
    for (std::size_t j = 0; j < 4; ++j)
      for (std::size_t k = 0; k < 4; ++k)
        CHECK(std::abs(r.fit->covariance[j][k] - want.fit->covariance[j][k]) <=
              1e-8 * std::sqrt(want.fit->covariance[j][j] * want.fit->covariance[k][k]));
    for (std::size_t k = 0; k < r.gain.values.size(); ++k)
      CHECK(std::abs(r.gain.values[k] - want.gain.values[k]) < 1e-9);
    const std::vector<Tie> alone = with_place_sds({ties, &job.places});
    for (std::size_t i = 0; i < ties.size(); ++i) {
      CHECK(alone[i].sd_x.metres() == doctest::Approx(with_shot_sds(shot)[i].sd_x.metres()).epsilon(1e-12));
      CHECK(alone[i].sd_y.metres() == doctest::Approx(with_shot_sds(shot)[i].sd_y.metres()).epsilon(1e-12));
    }
  }
}

TEST_CASE("an error that all ties share shows in the baselines and in no residual") {
  std::mt19937 random(4);
  JointJob job = joint_job(random, 6, false, true, {0, 0, 0}, false);
  const std::vector<Tie> ties = found_ties(job, random);
  const BaselineResult plain = fit_baselines(ties, kFixed, {});
  for (std::size_t i = 0; i < 12; ++i)
    for (std::size_t j = 0; j < 12; ++j) job.places(i, j) = i % 2 == j % 2 ? 1e-4 : 0;  // 10 mm
  const BaselineResult r = fit_baselines({ties, &job.places}, kFixed, {});
  REQUIRE(r.status == FitStatus::solved);
  for (std::size_t i = 0; i < r.rows.size(); ++i) {
    CHECK(std::abs((r.rows[i].residual - plain.rows[i].residual).metres()) < 1e-9);
    CHECK(r.rows[i].residual_sd.metres() ==
          doctest::Approx(plain.rows[i].residual_sd.metres()).epsilon(1e-6));
  }
  CHECK(*r.variance_factor == doctest::Approx(*plain.variance_factor).epsilon(1e-6));
  for (const std::size_t k : {0U, 1U})
    CHECK(r.fit->covariance[k][k] == doctest::Approx(plain.fit->covariance[k][k] + 1e-4).epsilon(1e-6));
  CHECK(r.fit->covariance[2][2] == doctest::Approx(plain.fit->covariance[2][2]).epsilon(1e-6));
}

TEST_CASE("what stands in the way of a fit is told alike, whatever found places share") {
  struct Case {
    std::string what;
    std::vector<Tie> ties;
    BaselineOptions options;
    FitStatus status;
  };
  const std::vector<Tie> good =
      ties({{0, 0, 100, 200}, {30, 0, 130, 200}, {30, 20, 130, 220}, {0, 20, 100, 220}, {12, 5, 112, 205}});
  std::vector<Tie> far = good, feet = good, place = good;
  far[2].x = *far[2].x + m(3);
  for (Tie& t : feet) t.at = {{.northing = t.at.at.northing / 0.3048, .easting = t.at.at.easting / 0.3048}};
  for (Tie& t : place) t.at = place.front().at;
  const std::vector<Tie> lines = ties(
      {{std::nullopt, 0, 0, 0}, {std::nullopt, 0, 30, 0}, {0, std::nullopt, 0, 5}, {0, std::nullopt, 0, 25}});
  const Azimuth north = Azimuth::degrees(0);
  const std::vector<Case> cases{
      {"one tie 3 m off", far, {}, FitStatus::solved},
      {"the other hand", good, {.mirrored = true}, FitStatus::only_mirrored},
      {"a far tie and the other hand", far, {.mirrored = true}, FitStatus::only_mirrored},
      {"site in feet", feet, kFree, FitStatus::units_differ},
      {"all in one place", place, {}, FitStatus::open},
      {"two lines", lines, {}, FitStatus::two_fits},
      {"two lines and an azimuth", lines, {.azimuth_near = Azimuth::degrees(80)}, FitStatus::solved},
      {"an azimuth that no fit has", good, {.azimuth_near = north}, FitStatus::azimuth_refused},
  };
  for (const Case& c : cases) {
    CAPTURE(c.what);
    JointJob job;
    job.ties = c.ties;
    share_errors(job, {.shift = 0.004, .turn = 2e-4, .sight = 0.001}, false);
    const BaselineResult joint = fit_baselines({job.ties, &job.places}, c.options, {});
    const BaselineResult alone = fit_baselines(with_place_sds({job.ties, &job.places}), c.options, {});
    CHECK(joint.status == alone.status);
    CHECK(joint.open.rotation == alone.open.rotation);
    CHECK(joint.azimuths.size() == alone.azimuths.size());
    CHECK(joint.status == c.status);
  }
}
