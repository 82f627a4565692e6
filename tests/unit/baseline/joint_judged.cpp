// What is told of ties that share errors: where marks lie, which tie is wrong, whether the baselines are
// square and a signed fit stands. Each check fails where the shared errors are taken as independent.
#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "baseline/assurance.h"
#include "baseline/signed_fit.h"
#include "baseline/squareness.h"
#include "baseline/wrong_ties.h"
#include "joint.h"

using namespace deckmark_test;

namespace {

#ifdef DECKMARK_SANITIZED
constexpr int kTrials = 100;
#else
constexpr int kTrials = 2000;
#endif

/// Setups that are worse than single sights, as with a short backsight.
constexpr SetupNoise kWeak{.shift = 0.004, .turn = 3e-4, .sight = 0.0008};

/// Sights that are much better than the place of their setup.
constexpr SetupNoise kSteady{.shift = 0.006, .turn = 2e-4, .sight = 0.0005};

/// Share of trials, and the least and most that a true 95 % allows: three sds of the binomial.
struct Share {
  int trials = 0, held = 0;
  void add(bool holds) { ++trials, held += holds ? 1 : 0; }
  double percent() const { return 100.0 * held / trials; }
  bool is_95() const { return std::abs(percent() - 95) < 3 * 100 * std::sqrt(0.95 * 0.05 / trials); }
};

/// Whether the 95 % ellipse of a mapped point holds its true place.
bool holds_place(const FittedTransform& fit, const Floor& floor, double x, double y) {
  const Vec<Site> off = fit.site_from_drawing(drawing(x, y)) - floor.at(x, y);
  const PlanCovariance<Site> c = fit.covariance_at(drawing(x, y));
  const double n = off.by.northing.metres(), e = off.by.easting.metres();
  return (n * n * c.second - 2 * n * e * c.cross + e * e * c.first) /
             (c.first * c.second - c.cross * c.cross) <
         5.991;
}

double azimuth_off(const FittedTransform& fit, const Floor& floor) {
  return (fit.site_from_drawing.parts().azimuth_x - Azimuth::degrees(floor.azimuth_x)).radians();
}

}  // namespace

TEST_CASE("95 % regions hold marks and azimuth only where the shared errors count") {
  std::mt19937 random(1);
  for (const Hold hold : {Hold::both, Hold::x, Hold::y}) {
    CAPTURE(static_cast<int>(hold));
    BaselineOptions options;
    options.hold = hold;
    Share near, far, turn, blind;
    for (int k = 0; k < kTrials; ++k) {
      options.mirrored = k % 4 >= 2;
      const JointJob job = joint_job(random, 8, options.mirrored, k % 2 == 0, kWeak);
      const std::vector<Tie> ties = found_ties(job, random);
      const BaselineResult r = fit_baselines({ties, &job.places}, options, {});
      REQUIRE(r.status == FitStatus::solved);
      near.add(holds_place(*r.fit, job.floor, 20, 12));
      far.add(holds_place(*r.fit, job.floor, 80, -30));
      turn.add(std::abs(azimuth_off(*r.fit, job.floor)) < 1.95996 * std::sqrt(r.fit->covariance[2][2]));
      const BaselineResult alone = fit_baselines(with_place_sds({ties, &job.places}), options, {});
      blind.add(alone.fit && holds_place(*alone.fit, job.floor, 20, 12));
    }
    CAPTURE(near.percent());
    CAPTURE(far.percent());
    CAPTURE(turn.percent());
    CHECK(near.is_95());
    CHECK(far.is_95());
    CHECK(turn.is_95());
#ifndef DECKMARK_SANITIZED
    CAPTURE(blind.percent());
    CHECK_FALSE(blind.is_95());
#endif
  }
}

TEST_CASE("freed scale: its 95 % holds, and the covariance of the fit with a place comes by the gain") {
  std::mt19937 random(2);
  Share scale, apart, blind;
  for (int k = 0; k < kTrials; ++k) {
    const JointJob job = joint_job(random, 8, false, true, kWeak, false);
    const std::vector<Tie> ties = found_ties(job, random);
    const BaselineResult r = fit_baselines({ties, &job.places}, kFree, {});
    REQUIRE(r.status == FitStatus::solved);
    const double off = r.fit->site_from_drawing.parts().scale - 1;
    scale.add(std::abs(off) < 1.95996 * std::sqrt(r.fit->covariance[3][3]));
    // The drawing centre against the found place of the first tie, along northing: both have errors of
    // setups.
    const SimilarityParts& parts = r.fit->site_from_drawing.parts();
    const double x = parts.drawing_centre.at.x.metres(), y = parts.drawing_centre.at.y.metres();
    const double centre_off = (parts.site_centre - job.floor.at(x, y)).by.northing.metres();
    const double place_off = (ties[0].at - job.ties[0].at).by.northing.metres();
    double shared = 0;
    for (std::size_t j = 0; j < 16; ++j) shared += r.gain(1, j) * job.places(j, 0);
    const double both = r.fit->covariance[1][1] + job.places(0, 0);
    apart.add(std::abs(centre_off - place_off) < 1.95996 * std::sqrt(both - 2 * shared));
    blind.add(std::abs(centre_off - place_off) < 1.95996 * std::sqrt(both));
  }
  CAPTURE(scale.percent());
  CAPTURE(apart.percent());
  CHECK(scale.is_95());
  CHECK(apart.is_95());
#ifndef DECKMARK_SANITIZED
  CHECK_FALSE(blind.is_95());
#endif
}

TEST_CASE("a wrong tie is named by what the others give, the sd of that with the shared errors") {
  std::mt19937 random(3);
  int named = 0;
  Share known, blind;
  for (int k = 0; k < kTrials; ++k) {
    const BaselineOptions options{.hold = k % 4 == 3 ? Hold::x : Hold::both};
    const JointJob job = joint_job(random, 8, false, true, kSteady, false);
    std::vector<Tie> ties = found_ties(job, random);
    const std::size_t wrong = static_cast<std::size_t>(k) % 8;
    ties[wrong].y = *ties[wrong].y + mm(60);
    // Both coordinates: then the tie is left out as a whole.
    const std::size_t cells = k % 3 == 0 ? 2 : 1;
    if (cells == 2) ties[wrong].x = *ties[wrong].x - mm(70);
    /// How far each error found is from what was done to the coordinate, as its sd has it.
    const auto judge_errors = [&](TieView set, Share& share) {
      const auto found = find_wrong_ties(set, options).wrong;
      if (found.size() != cells) return false;
      for (const WrongTie& w : found) {
        if (w.tie != wrong || (cells == 1 && w.axis == TieAxis::x)) return false;
        CHECK(w.standardised == doctest::Approx(w.error / w.sd));
        const bool is_x = w.axis == TieAxis::x;
        const double own = is_x ? (*ties[wrong].x - *job.ties[wrong].x).metres()
                                : (*ties[wrong].y - *job.ties[wrong].y).metres();
        const double sd = w.sd.metres(), stated = (is_x ? ties[wrong].sd_x : ties[wrong].sd_y).metres();
        share.add(std::abs(w.error.metres() - own) < 1.95996 * std::sqrt(sd * sd - stated * stated));
      }
      return true;
    };
    named += judge_errors({ties, &job.places}, known) ? 1 : 0;
    judge_errors(with_place_sds({ties, &job.places}), blind);
  }
  CAPTURE(named);
  CHECK(named >= kTrials * 9 / 10);
  CAPTURE(known.percent());
  CHECK(known.is_95());
#ifndef DECKMARK_SANITIZED
  CAPTURE(blind.percent());
  CHECK_FALSE(blind.is_95());
#endif
}

TEST_CASE("a tie is accused by the best estimate of its error, not by its residual") {
  std::mt19937 random(10);
  int other = 0;  // where the residuals alone would say otherwise
  for (int k = 0; k < kTrials / 4; ++k) {
    const JointJob job = joint_job(random, 8, false, true, kSteady, false);
    std::vector<Tie> ties = found_ties(job, random);
    ties[3].x = *ties[3].x + mm(9);
    double best = 0, residual = 0;
    for (const TieRow& row : fit_baselines({ties, &job.places}, {}, {}).rows) {
      best = std::max(best, std::abs(row.error->by / row.error->sd));
      residual = std::max(residual, std::abs(*row.standardised));
    }
    const WrongTiesResult found = find_wrong_ties({ties, &job.places}, {});
    CHECK(found.wrong.empty() == (best <= found.limit));
    other += (residual <= found.limit) != (best <= found.limit) ? 1 : 0;
  }
  CHECK(other > 0);
}

TEST_CASE("what is left without a tie keeps its part of the covariance") {
  std::mt19937 random(4);
  const JointJob job = joint_job(random, 6, false, true, kWeak);
  const std::vector<Tie> ties = found_ties(job, random);
  const auto left = leave_out_each({ties, &job.places}, {});
  for (std::size_t out = 0; out < ties.size(); ++out) {
    std::vector<Tie> rest;
    std::vector<std::size_t> kept;
    for (std::size_t i = 0; i < ties.size(); ++i)
      if (i != out) rest.push_back(ties[i]), kept.push_back(i);
    Matrix places(2 * kept.size(), 2 * kept.size());
    for (std::size_t i = 0; i < places.rows; ++i)
      for (std::size_t j = 0; j < places.cols; ++j)
        places(i, j) = job.places(2 * kept[i / 2] + i % 2, 2 * kept[j / 2] + j % 2);
    const auto want = fit_baselines({rest, &places}, {}, {});
    CHECK(*left[out].variance_factor == doctest::Approx(*want.variance_factor).epsilon(1e-9));
  }
}

TEST_CASE("clean ties that share errors are accused no more often than they may be") {
  std::mt19937 random(5);
  int accused = 0;
  for (int k = 0; k < kTrials; ++k) {
    const JointJob job = joint_job(random, 8, false, true, kWeak);
    const std::vector<Tie> ties = found_ties(job, random);
    accused += find_wrong_ties({ties, &job.places}, {}).wrong.empty() ? 0 : 1;
  }
  CHECK(accused <= kTrials / 100 + 1);
}

TEST_CASE("what could go unnoticed is the sd of the best estimate times 4.13") {
  std::mt19937 random(6);
  const JointJob job = joint_job(random, 6, false, true, kWeak);
  const auto r = fit_baselines({found_ties(job, random), &job.places}, {}, {});
  for (const TieRow& row : r.rows) {
    CHECK(detectable_error(row)->metres() == doctest::Approx(4.1321 * row.error->sd.metres()).epsilon(1e-4));
    CHECK(known_to(row)->metres() == doctest::Approx(1.95996 * row.error->sd.metres()).epsilon(1e-4));
    // The best estimate is at least as good as residual over redundancy.
    CHECK(row.error->sd.metres() <= row.residual_sd.metres() / row.redundancy * (1 + 1e-9));
  }
}

TEST_CASE("squareness: a turn of the setup turns both baselines and is no error of the angle") {
  std::mt19937 random(7);
  for (const bool mirrored : {false, true}) {
    double joint = 0, alone = 0;
    const int trials = kTrials / 2;
    BaselineOptions options;
    options.mirrored = mirrored;
    for (int k = 0; k < trials; ++k) {
      JointJob job = joint_job(random, 8, mirrored, false,
                               {.shift = 0.003, .turn = 6e-4, .sight = 0.0008, .setups = 1}, false);
      const std::vector<Tie> ties = found_ties(job, random);
      const BaselineResult r = fit_baselines({ties, &job.places}, options, {});
      REQUIRE(r.status == FitStatus::solved);
      const SquarenessResult s = squareness({ties, &job.places}, r, {}, {});
      if (!s.sd) {
        --k;
        continue;
      }
      joint += std::pow(*s.deviation / *s.sd, 2) / trials;
      const std::vector<Tie> plain = with_place_sds({ties, &job.places});
      const SquarenessResult a = squareness(plain, fit_baselines(plain, options, {}), {}, {});
      alone += std::pow(*a.deviation / *a.sd, 2) / trials;
    }
    CAPTURE(joint);
    CAPTURE(alone);
    // Mean of squares of unit normals: sd sqrt(2 / trials); four of them.
    CHECK(std::abs(joint - 1) < 4 * std::sqrt(2.0 / trials));
#ifndef DECKMARK_SANITIZED
    CHECK(std::abs(alone - 1) > 4 * std::sqrt(2.0 / trials));
#endif
  }
}

TEST_CASE("today's ties against a signed fit: a shift that their setup shares is chance") {
  std::mt19937 random(8);
  int told = 0, blind = 0;
  double factor = 0;
  for (int k = 0; k < kTrials; ++k) {
    const bool mirrored = k % 2 == 1;
    const JointJob job = joint_job(random, 8, mirrored, k % 4 < 2, kWeak, false);
    BaselineOptions options;
    options.mirrored = mirrored;
    const auto then = found_ties(job, random), now = found_ties(job, random);
    const BaselineResult r = fit_baselines({then, &job.places}, options, {});
    REQUIRE(r.status == FitStatus::solved);
    const SignedCheck c = check_signed({now, &job.places}, *r.fit, {});
    told += c.moved ? 1 : 0;
    factor += *c.variance_factor / kTrials;
    for (const TieRow& row : c.rows) CHECK(row.residual_sd > row.sd);
    blind += check_signed(with_place_sds({now, &job.places}), *r.fit, {}).moved ? 1 : 0;
  }
  CAPTURE(told);
  CAPTURE(blind);
  // Three of a thousand at most; six in two thousand with three sds of their number above it.
  CHECK(told <= kTrials * 3 / 1000 + 3 * std::sqrt(kTrials * 0.003) + 1);
  CHECK(factor == doctest::Approx(1).epsilon(0.03 * std::sqrt(2000.0 / kTrials)));
#ifndef DECKMARK_SANITIZED
  CHECK(blind > kTrials / 100);
#endif
}

TEST_CASE("a signed fit: shift, turn and their sds are those of a dense computation") {
  std::mt19937 random(9);
  double turns = 0, shifts = 0;
  for (int k = 0; k < kTrials; ++k) {
    const JointJob job = joint_job(random, 6, false, true, kWeak);
    const auto then = found_ties(job, random), now = found_ties(job, random);
    const BaselineResult r = fit_baselines({then, &job.places}, {}, {});
    const SignedCheck c = check_signed({now, &job.places}, *r.fit, {});
    REQUIRE(c.turn.has_value());
    turns += std::pow(*c.turn / c.sd_turn, 2) / kTrials;
    shifts += std::pow(*c.shift_x / c.sd_x, 2) / kTrials;
  }
  CHECK(std::abs(turns - 1) < 4 * std::sqrt(2.0 / kTrials));
  CHECK(std::abs(shifts - 1) < 4 * std::sqrt(2.0 / kTrials));
}
