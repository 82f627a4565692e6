// Laws of the baseline fit over simulated jobs. Seed 1; bands from the binomial.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "simulation/tie_jobs.h"
#include "support/noise.h"

using namespace deckmark;
using namespace deckmark_test;

namespace {

Point<Drawing> drawing(double x, double y) { return {{.x = Length::metres(x), .y = Length::metres(y)}}; }

/// Squared distance in units of the covariance.
double mahalanobis(const Vec<Site>& d, const PlanCovariance<Site>& c) {
  const double n = d.by.northing.metres(), e = d.by.easting.metres();
  return (c.second * n * n - 2 * c.cross * n * e + c.first * e * e) /
         (c.first * c.second - c.cross * c.cross);
}

struct Coverage {
  int inside = 0, all = 0;
};

Coverage coverage(Hold hold, bool scale_free) {
  std::mt19937 random(1);
  std::uniform_real_distribution<double> place(-10, 60);
  Coverage c;
  for (int trial = 0; trial < 10000 / kShare; ++trial) {
    const bool mirrored = trial % 2 == 1;
    const TieJob job = random_tie_job(random, 5, 30, 20, 0.002, mirrored);
    BaselineOptions options;
    options.mirrored = mirrored;
    options.hold = hold;
    options.scale_free = scale_free;
    const BaselineResult r = fit_baselines(job.ties, options, {});
    REQUIRE(r.status == FitStatus::solved);
    const double x = place(random), y = place(random);
    const Vec<Site> off = r.fit->site_from_drawing(drawing(x, y)) - job.floor.at(x, y);
    c.inside += mahalanobis(off, r.fit->covariance_at(drawing(x, y))) <= kEllipse95 * kEllipse95 ? 1 : 0;
    ++c.all;
  }
  return c;
}

}  // namespace

TEST_CASE("the true place lies inside the stated 95 % ellipse as often as stated") {
  for (const auto& [hold, scale_free] :
       {std::pair{Hold::both, false}, {Hold::both, true}, {Hold::x, false}, {Hold::y, false}}) {
    CAPTURE(static_cast<int>(hold));
    CAPTURE(scale_free);
    const Coverage c = coverage(hold, scale_free);
    if (kShare > 1) continue;
    // 10,000 trials at 95 % have an sd of 0.22 %; three of them.
    const double share = 100.0 * c.inside / c.all;
    CHECK(share >= 94.3);
    CHECK(share <= 95.7);
  }
}

TEST_CASE("1,000 two-line jobs are settled by a rough azimuth or by one paced tie") {
  std::mt19937 random(1);
  std::uniform_real_distribution<double> rough(-55, 55), paced_error(-0.6, 0.6);
  for (int trial = 0; trial < 1000 / kShare; ++trial) {
    CAPTURE(trial);
    TieJob job = random_two_line_job(random, 3, 30, 20, 0.0015);
    REQUIRE(fit_baselines(job.ties, {}, {}).status == FitStatus::two_fits);
    BaselineOptions near;
    near.azimuth_near = Azimuth::degrees(job.floor.azimuth_x + rough(random));
    auto paced = job.ties;
    const Length pace = Length::metres(0.5);
    paced.push_back(
        {Length::metres(15 + paced_error(random)), std::nullopt, job.floor.at(15, 3), pace, pace, pace * 3});
    for (const BaselineResult& r : {fit_baselines(job.ties, near, {}), fit_baselines(paced, {}, {})}) {
      REQUIRE(r.status == FitStatus::solved);
      const Vec<Site> off = r.fit->site_from_drawing(drawing(30, 20)) - job.floor.at(30, 20);
      // sd of this corner is about 2 mm; 20 mm is ten of them, a wrong way round would be 70 m.
      CHECK(norm(off) < Length::millimetres(20));
    }
  }
}

TEST_CASE("noise-free ties leave nothing, and any order gives the same") {
  std::mt19937 random(1);
  for (int trial = 0; trial < 200; ++trial) {
    const bool mirrored = trial % 2 == 1;
    TieJob job = random_tie_job(random, 6, 40, 25, 0.0015, mirrored);
    BaselineOptions options;
    options.mirrored = mirrored;
    for (Tie& t : job.ties) t.at = job.floor.at(t.x->metres(), t.y->metres());
    BaselineResult r = fit_baselines(job.ties, options, {});
    REQUIRE(r.status == FitStatus::solved);
    for (const TieRow& row : r.rows) CHECK(std::abs(row.residual.metres()) < 3e-9);
    CHECK(*r.variance_factor < 1e-9);
    std::shuffle(job.ties.begin(), job.ties.end(), random);
    const BaselineResult again = fit_baselines(job.ties, options, {});
    CHECK(distance(r.fit->site_from_drawing(drawing(50, 50)), again.fit->site_from_drawing(drawing(50, 50)))
              .metres() < 4e-9);
  }
}

TEST_CASE("redundancies sum to the degrees of freedom, shifts of the site shift the answer") {
  std::mt19937 random(1);
  for (int trial = 0; trial < 200; ++trial) {
    CAPTURE(trial);
    TieJob job = random_tie_job(random, 5, 40, 25, 0.002, false);
    BaselineOptions options;
    options.hold = trial % 3 == 0 ? Hold::x : trial % 3 == 1 ? Hold::y : Hold::both;
    const BaselineResult r = fit_baselines(job.ties, options, {});
    REQUIRE(r.status == FitStatus::solved);
    double sum = 0;
    for (const TieRow& row : r.rows) {
      sum += row.redundancy;
      CHECK(std::abs((row.stated - row.computed - row.residual).metres()) < 1e-14);
    }
    CHECK(sum == doctest::Approx(static_cast<double>(r.degrees_of_freedom)).epsilon(1e-9));
    const Vec<Site> shift{{.northing = Length::metres(1024), .easting = Length::metres(-512)}};
    for (Tie& t : job.ties) t.at = t.at + shift;
    const BaselineResult moved = fit_baselines(job.ties, options, {});
    const Vec<Site> off =
        moved.fit->site_from_drawing(drawing(9, 8)) - (r.fit->site_from_drawing(drawing(9, 8)) + shift);
    CHECK(norm(off).metres() < 4e-9);
    for (std::size_t i = 0; i < r.rows.size(); ++i)
      CHECK(std::abs((moved.rows[i].residual - r.rows[i].residual).metres()) < 4e-9);
  }
}

TEST_CASE("sets built to be awkward get an answer or a reason, never a number that is none") {
  std::mt19937 random(1);
  std::uniform_int_distribution<int> few(0, 3), count(1, 5), what(0, 5), option(0, 2);
  const double values[] = {0, 0, 10, 10.001};  // coincident, collinear, nearly so
  int solved = 0, refused = 0;
  for (int trial = 0; trial < 20000 / kShare; ++trial) {
    CAPTURE(trial);
    std::vector<Tie> set;
    const int n = count(random);
    for (int i = 0; i < n; ++i) {
      const auto pick = [&] { return Length::metres(values[few(random)]); };
      Tie t{pick(),
            pick(),
            {{.northing = pick(), .easting = pick()}},
            Length::millimetres(1.5),
            Length::millimetres(1.5),
            Length::millimetres(5)};
      const int states = what(random);
      if (states == 0) t.x.reset();
      if (states == 1) t.y.reset();
      set.push_back(t);
    }
    BaselineOptions options;
    options.hold = option(random) == 0 ? Hold::both : option(random) == 1 ? Hold::x : Hold::y;
    options.scale_free = options.hold == Hold::both && option(random) == 0;
    options.mirrored = option(random) == 0;
    const std::vector<Point<Drawing>> mapped{drawing(0, 0), drawing(30, 20)};
    const BaselineResult r = fit_baselines(set, options, mapped);
    if (r.status != FitStatus::solved) {
      ++refused;
      CHECK_FALSE(r.fit.has_value());
      CHECK_FALSE(refusal(r).found.empty());
      CHECK_FALSE(refusal(r).suggestion.empty());
      continue;
    }
    ++solved;
    const Point<Site> p = r.fit->site_from_drawing(drawing(30, 20));
    CHECK(std::isfinite(p.at.northing.metres()));
    CHECK(std::isfinite(p.at.easting.metres()));
    CHECK(semi_major(r.fit->covariance_at(drawing(30, 20))).metres() > 0);
    double sum = 0;
    for (const TieRow& row : r.rows) {
      CHECK(row.redundancy >= 0);
      CHECK(row.redundancy <= 1 + 1e-9);
      CHECK(row.standardised.has_value() == (row.redundancy > 0));
      if (row.standardised) CHECK(std::isfinite(*row.standardised));
      sum += row.redundancy;
    }
    CHECK(sum == doctest::Approx(static_cast<double>(r.degrees_of_freedom)).epsilon(1e-6));
  }
  CHECK(solved > 500 / kShare);
  CHECK(refused > 500 / kShare);
}
