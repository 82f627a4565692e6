#include "baseline/signed_fit.h"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "baseline/assurance.h"
#include "simulation/tie_jobs.h"
#include "ties.h"

using namespace deckmark_test;

namespace {

/// Marks moved and turned on site about a point.
std::vector<Tie> moved(std::vector<Tie> set, double north, double east, double clockwise_degrees,
                       const Point<Site>& about) {
  const double a = clockwise_degrees * 3.14159265358979323846 / 180;
  for (Tie& t : set) {
    const double n = (t.at - about).by.northing.metres(), e = (t.at - about).by.easting.metres();
    t.at = {{.northing = about.at.northing + m(north + n * std::cos(a) - e * std::sin(a)),
             .easting = about.at.easting + m(east + e * std::cos(a) + n * std::sin(a))}};
  }
  return set;
}

}  // namespace

TEST_CASE("later ties check a signed fit and report shift and turn") {
  std::mt19937 random(1);
  for (const bool mirrored : {false, true}) {
    TieJob job = random_tie_job(random, 8, 40, 25, 0.0015, mirrored);
    BaselineOptions options;
    options.mirrored = mirrored;
    for (Tie& t : job.ties) t.at = job.floor.at(t.x->metres(), t.y->metres());  // without noise
    const auto fit = fit_baselines(job.ties, options, {});
    REQUIRE(fit.status == FitStatus::solved);

    const SignedCheck same = check_signed(job.ties, *fit.fit);
    REQUIRE(same.rows.size() == 16);
    CHECK_FALSE(same.moved);
    CHECK(abs(*same.shift_x) < mm(1e-4));
    CHECK(std::abs(same.turn->arc_seconds()) < 1e-3);
    for (const TieRow& row : same.rows) CHECK(row.redundancy == 1);

    // 8 mm along +X, 3 mm against +Y, and 0.01 degree clockwise about the middle of the ties.
    const Vec<Site> along = fit.fit->site_from_drawing.turn({{.x = mm(8), .y = mm(-3)}});
    const auto now = moved(job.ties, along.by.northing.metres(), along.by.easting.metres(), 0.01,
                           fit.fit->site_from_drawing.parts().site_centre);
    const SignedCheck check = check_signed(now, *fit.fit);
    CHECK(check.shift_x->millimetres() == doctest::Approx(8).epsilon(1e-4));
    CHECK(check.shift_y->millimetres() == doctest::Approx(-3).epsilon(1e-4));
    CHECK(check.turn->degrees() == doctest::Approx(0.01).epsilon(1e-4));
    CHECK(check.sd_x.millimetres() == doctest::Approx(1.5 / std::sqrt(8.0)).epsilon(1e-6));
    CHECK(check.moved);
    CHECK(*check.variance_factor > 5);
  }
}

TEST_CASE("ties that check little say what they can") {
  const FittedTransform fit{drawing_is_site(false), {}};
  const SignedCheck one = check_signed(ties({{10.001, 5, 10, 5}}), fit);
  REQUIRE(one.shift_x.has_value());
  CHECK(one.shift_x->millimetres() == doctest::Approx(-1).epsilon(1e-6));
  CHECK(one.shift_y.has_value());
  CHECK_FALSE(one.turn.has_value());
  const SignedCheck x_only =
      check_signed(ties({{10, std::nullopt, 10.02, 5}, {10, std::nullopt, 10.02, 25}}), fit);
  CHECK(x_only.shift_x->millimetres() == doctest::Approx(20).epsilon(1e-6));
  CHECK_FALSE(x_only.shift_y.has_value());
  CHECK(x_only.turn.has_value());
  CHECK(x_only.moved);
  CHECK(x_only.rows[0].verdict == Verdict::outside);
  CHECK_FALSE(check_signed({}, fit).variance_factor.has_value());
}

TEST_CASE("a mean shift against a signed fit scatters as its sd says") {
  std::mt19937 random(1);
  int inside = 0;
  const int trials = 4000;
  const TieJob job = random_tie_job(random, 6, 40, 25, 0.0015, false);
  auto exact = job.ties;
  for (Tie& t : exact) t.at = job.floor.at(t.x->metres(), t.y->metres());
  const auto fit = fit_baselines(exact, {}, {});
  std::normal_distribution<double> noise(0, 0.0015);
  for (int k = 0; k < trials; ++k) {
    auto now = exact;
    for (Tie& t : now)
      t.at = {
          {.northing = t.at.at.northing + m(noise(random)), .easting = t.at.at.easting + m(noise(random))}};
    const SignedCheck c = check_signed(now, *fit.fit);
    inside += std::abs(*c.turn / c.sd_turn) < 1.96 ? 1 : 0;
  }
  // 95 % of 4,000, sd 13.8; three of them.
  CHECK(inside > 3758);
  CHECK(inside < 3842);
}

TEST_CASE("what the check would have seen, and how good it is") {
  std::mt19937 random(1);
  const TieJob job = random_tie_job(random, 8, 40, 25, 0.0015, false);
  const std::vector<Point<Drawing>> mapped{drawing(1, 2), drawing(50, 30), drawing(20, 20)};
  const auto fit = fit_baselines(job.ties, {}, mapped);
  REQUIRE(fit.status == FitStatus::solved);
  const Assurance a = assurance(fit, mapped);
  REQUIRE(a.detectable.has_value());
  // Shared misfit: 4.132 sd / sqrt(redundancy) (domain notes 4.3).
  const TieRow& row = fit.rows[*a.least_seen];
  CHECK(a.detectable->metres() == doctest::Approx(4.1321 * 0.0015 / std::sqrt(row.redundancy)).epsilon(1e-4));
  for (const TieRow& other : fit.rows) CHECK(*detectable_error(other) <= *a.detectable);
  CHECK(*a.farthest == 1);
  CHECK(a.at_farthest->semi_major > a.at_farthest->semi_minor);
  CHECK(a.origin.semi_major == error_ellipse(fit.fit->covariance_at(drawing(0, 0))).semi_major * kEllipse95);
  CHECK(a.variance->factor == *fit.variance_factor);
  CHECK(a.unchecked == 0);

  // An error of that size is found in four of five jobs.
  int found = 0;
  std::normal_distribution<double> noise(0, 0.0015);
  for (int k = 0; k < 2000; ++k) {
    auto set = job.ties;
    for (Tie& t : set) {
      t.at = job.floor.at(t.x->metres(), t.y->metres());
      t.at.at.northing += m(noise(random));
      t.at.at.easting += m(noise(random));
    }
    (row.axis == TieAxis::x ? set[row.tie].x : set[row.tie].y).value() += *a.detectable;
    const auto again = fit_baselines(set, {}, {});
    for (const TieRow& r : again.rows)
      if (r.tie == row.tie && r.axis == row.axis) found += std::abs(*r.standardised) > 3.2905 ? 1 : 0;
  }
  // 80 % of 2,000: sd 17.9; three of them, and a redundancy that shifts with the noise by less than one more.
  CHECK(found > 1600 - 60);
  CHECK(found < 1600 + 60);
}
