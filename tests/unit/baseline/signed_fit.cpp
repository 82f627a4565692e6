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

    const SignedCheck same = check_signed(job.ties, *fit.fit, {});
    REQUIRE(same.rows.size() == 16);
    CHECK_FALSE(same.moved);
    CHECK(abs(*same.shift_x) < mm(1e-4));
    CHECK(std::abs(same.turn->arc_seconds()) < 1e-3);
    for (const TieRow& row : same.rows) CHECK(row.redundancy == 1);

    // 8 mm along +X, 3 mm against +Y, and 0.01 degree clockwise about the middle of the ties.
    const Vec<Site> along = fit.fit->site_from_drawing.turn({{.x = mm(8), .y = mm(-3)}});
    const auto now = moved(job.ties, along.by.northing.metres(), along.by.easting.metres(), 0.01,
                           fit.fit->site_from_drawing.parts().site_centre);
    const SignedCheck check = check_signed(now, *fit.fit, {});
    CHECK(check.shift_x->millimetres() == doctest::Approx(8).epsilon(1e-4));
    CHECK(check.shift_y->millimetres() == doctest::Approx(-3).epsilon(1e-4));
    CHECK(check.turn->degrees() == doctest::Approx(0.01).epsilon(1e-4));
    // The mean of eight ties against a fit of eight ties: the fit's own sd counts as much.
    CHECK(check.sd_x.millimetres() == doctest::Approx(1.5 * std::sqrt(2 / 8.0)).epsilon(1e-6));
    CHECK(check.moved);
    CHECK(*check.variance_factor > 5);
  }
}

TEST_CASE("ties that check little say what they can") {
  const FittedTransform fit{drawing_is_site(false), {}};
  const SignedCheck one = check_signed(ties({{10.001, 5, 10, 5}}), fit, {});
  REQUIRE(one.shift_x.has_value());
  CHECK(one.shift_x->millimetres() == doctest::Approx(-1).epsilon(1e-6));
  CHECK(one.shift_y.has_value());
  CHECK_FALSE(one.turn.has_value());
  const SignedCheck x_only =
      check_signed(ties({{10, std::nullopt, 10.02, 5}, {10, std::nullopt, 10.02, 25}}), fit, {});
  CHECK(x_only.shift_x->millimetres() == doctest::Approx(20).epsilon(1e-6));
  CHECK_FALSE(x_only.shift_y.has_value());
  CHECK(x_only.turn.has_value());
  CHECK(x_only.moved);
  CHECK(x_only.rows[0].verdict == Verdict::outside);
  CHECK_FALSE(check_signed({}, fit, {}).variance_factor.has_value());
}

namespace {

/// A signed fit of ties that were found with noise, and ties of a later day; `held`: of which baseline.
struct SignedDay {
  BaselineResult fit;
  std::vector<Tie> later;
};
SignedDay signed_day(std::mt19937& random, Hold hold) {
  const TieJob job = random_tie_job(random, 6, 40, 25, 0.0015, false);
  BaselineOptions options;
  options.hold = hold;
  SignedDay out{fit_baselines(job.ties, options, {}), {}};
  REQUIRE(out.fit.status == FitStatus::solved);
  const TieJob more = random_tie_job(random, 5, 40, 25, 0.0015, false);
  std::normal_distribution<double> noise(0, 0.0015);
  for (Tie t : more.ties) {  // the later ties' drawing places, on the floor of the signed fit
    t.at = job.floor.at(t.x->metres(), t.y->metres());
    t.at = {{.northing = t.at.at.northing + m(noise(random)), .easting = t.at.at.easting + m(noise(random))}};
    out.later.push_back(t);
  }
  return out;
}

#ifdef DECKMARK_SANITIZED
constexpr int kDays = 100;
#else
constexpr int kDays = 2000;
#endif

}  // namespace

// 2026-11-27: the fit's own covariance was left out, so that a shift was told in 7 % of jobs in which nothing
// had moved.
TEST_CASE("a shift is told when it is one") {
  std::mt19937 random(1);
  int told = 0, moved_told = 0, turn_inside = 0, one_axis = 0;
  double square_sum = 0, factors = 0;
  for (int k = 0; k < kDays; ++k) {
    const SignedDay day = signed_day(random, k % 3 == 0 ? Hold::x : Hold::both);
    const SignedCheck c = check_signed(day.later, *day.fit.fit, {});
    told += c.moved ? 1 : 0;
    turn_inside += std::abs(*c.turn / c.sd_turn) < 1.96 ? 1 : 0;
    square_sum += std::pow(*c.shift_x / c.sd_x, 2);
    factors += *c.variance_factor;
    const auto shifted = [&](double x, double y) {
      const Vec<Site> v = day.fit.fit->site_from_drawing.turn({{.x = c.sd_x * x, .y = c.sd_y * y}});
      return check_signed(moved(day.later, v.by.northing.metres(), v.by.easting.metres(), 0,
                                day.fit.fit->site_from_drawing.parts().site_centre),
                          *day.fit.fit, {});
    };
    // The marks move by four sds of what is told, along X and along Y.
    moved_told += shifted(k % 2 == 0 ? 4 : -4, k % 4 < 2 ? 4 : -4).moved ? 1 : 0;
    one_axis += shifted(4, 0).moved ? 1 : 0;
  }
  MESSAGE("told " << told << ", moved and told " << moved_told << ", moved along X alone " << one_axis
                  << " of " << kDays << ", turn inside " << turn_inside << ", shift " << square_sum / kDays
                  << ", factor " << factors / kDays);
  if (kDays < 2000) return;
  CHECK(told <= 10);
  CHECK(moved_told >= 1900);
  // 95 % of 2,000: sd 9.7. The mean of 2,000 squares of a standard normal has the sd sqrt(2 / 2000) = 0.032,
  // that of a variance factor with ten to spare sqrt(2 / 10 / 2000) = 0.01; three of them.
  CHECK(turn_inside > 1900 - 30);
  CHECK(turn_inside < 1900 + 30);
  CHECK(std::abs(square_sum / kDays - 1) < 0.096);
  CHECK(std::abs(factors / kDays - 1) < 0.03);
}

// 2026-11-27: the ties that the fit was made from counted as new evidence about it.
TEST_CASE("only what the fit was not made from is new") {
  std::mt19937 random(1);
  const TieJob job = random_tie_job(random, 6, 40, 25, 0.0015, false);
  const auto fit = fit_baselines(job.ties, {}, {});
  REQUIRE(fit.status == FitStatus::solved);
  std::vector<SignedStated> from;
  for (const TieRow& r : fit.rows)
    from.push_back({r.tie, r.axis, r.computed, job.ties[r.tie].at, r.redundancy, r.residual_sd});
  const SignedCheck same = check_signed(job.ties, *fit.fit, from);
  CHECK(same.new_stated == 0);
  CHECK_FALSE(same.shift_x.has_value());
  CHECK_FALSE(same.variance_factor.has_value());
  CHECK_FALSE(same.moved);
  for (std::size_t i = 0; i < same.rows.size(); ++i) {
    const TieRow &now = same.rows[i], &then = fit.rows[i];
    CHECK(now.redundancy == then.redundancy);
    CHECK(std::abs((now.residual - then.residual).metres()) < 1e-8);
    CHECK(known_to(now)->metres() == doctest::Approx(known_to(then)->metres()).epsilon(1e-6));
    CHECK(detectable_error(now)->metres() == doctest::Approx(detectable_error(then)->metres()).epsilon(1e-6));
  }
  // A file that does not hold where the ties were found: the coordinate that it computed tells as well.
  auto older = from;
  for (SignedStated& s : older) s.at.reset(), s.residual_sd.reset();
  CHECK(check_signed(job.ties, *fit.fit, older).new_stated == 0);

  // One mark found again 0.1 mm beside, one tie more: three are new, and the shift is theirs, told at their
  // middle.
  auto now = job.ties;
  now[2].at.at.northing += mm(0.1);
  Tie more = now[0];
  more.x = m(11);
  more.y.reset();
  more.at = job.floor.at(11, 7);
  now.push_back(more);
  for (const auto& evidence : {from, older}) {
    const SignedCheck c = check_signed(now, *fit.fit, evidence);
    CHECK(c.new_stated == 3);
    CHECK(c.new_ties == 2);
    CHECK(c.is_new[4]);
    CHECK_FALSE(c.is_new[0]);
    CHECK(c.middle.at.x.metres() == doctest::Approx((now[2].x->metres() + 11) / 2).epsilon(1e-3));
    CHECK(c.middle.at.y.metres() == doctest::Approx((now[2].y->metres() + 7) / 2).epsilon(1e-3));
    // What nothing of the fit was made from has the fit's covariance on top of its own sd.
    const TieRow& row = c.rows.back();
    const PlanCovariance<Site> at = fit.fit->covariance_at(drawing(11, 7));
    const auto azimuth = fit.fit->site_from_drawing.parts().azimuth_x;
    const double s = azimuth.sine(), k = azimuth.cosine();
    const double along = k * k * at.first + 2 * s * k * at.cross + s * s * at.second;
    CHECK(row.residual_sd.metres() == doctest::Approx(std::sqrt(0.0015 * 0.0015 + along)).epsilon(1e-4));
  }
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
