#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "simulation/tie_jobs.h"
#include "ties.h"

using namespace deckmark_test;

namespace {

std::vector<Tie> shot(std::vector<Tie> set, double sd_northing, double sd_easting) {
  for (Tie& t : set) {
    t.shot_sd_northing = m(sd_northing);
    t.shot_sd_easting = m(sd_easting);
  }
  return set;
}

}  // namespace

TEST_CASE("sds of a shot are turned into the drawing's axes and added") {
  struct Row {
    double azimuth, x, y;  // of +X, mm
  };
  // 4 mm north, 1 mm east; the tie's own 3 mm. +X to the north takes the north's, to the east the east's.
  for (const Row& r :
       {Row{0, std::hypot(3, 4), std::hypot(3, 1)}, Row{90, std::hypot(3, 1), std::hypot(3, 4)},
        Row{180, std::hypot(3, 4), std::hypot(3, 1)}, Row{45, std::sqrt(9 + 8.5), std::sqrt(9 + 8.5)},
        Row{30, std::sqrt(9 + 0.75 * 16 + 0.25), std::sqrt(9 + 0.25 * 16 + 0.75)}}) {
    CAPTURE(r.azimuth);
    const auto out =
        with_shot_sds(shot(ties({{0, 0, 0, 0, 0.003}}), 0.004, 0.001), Azimuth::degrees(r.azimuth));
    CHECK(out[0].sd_x.millimetres() == doctest::Approx(r.x).epsilon(1e-12));
    CHECK(out[0].sd_y.millimetres() == doctest::Approx(r.y).epsilon(1e-12));
    // Once added they are not added again.
    CHECK(with_shot_sds(out, Azimuth::degrees(10))[0].sd_x == out[0].sd_x);
  }
  const auto round = with_shot_sds(shot(ties({{0, 0, 0, 0, 0.003}}), 0.004, 0.004));
  CHECK(round[0].sd_x.millimetres() == doctest::Approx(5).epsilon(1e-12));
  CHECK(round[0].sd_y.millimetres() == doctest::Approx(5).epsilon(1e-12));
}

TEST_CASE("standardised residuals of ties shot with unequal sds scatter as they should") {
  std::mt19937 random(1);
  std::normal_distribution<double> normal;
  double factors = 0;
  const int trials = 1000;
  for (int k = 0; k < trials; ++k) {
    TieJob job = random_tie_job(random, 6, 40, 25, 0.0015, k % 2 == 0);
    for (Tie& t : job.ties) {  // on top of the 1.5 mm of the tie
      t.at.at.northing += m(0.006 * normal(random));
      t.at.at.easting += m(0.001 * normal(random));
    }
    BaselineOptions options;
    options.mirrored = k % 2 == 0;
    const auto set = shot(job.ties, 0.006, 0.001);
    const auto first = fit_baselines(with_shot_sds(set), options, {});
    REQUIRE(first.status == FitStatus::solved);
    const auto fit =
        fit_baselines(with_shot_sds(set, first.fit->site_from_drawing.parts().azimuth_x), options, {});
    REQUIRE(fit.status == FitStatus::solved);
    factors += *fit.variance_factor;
  }
  // Twelve coordinates, three unknowns. The errors along X and Y hang together where the axes are turned; the
  // mean of the factor is 1 all the same but for the weights being diagonal. Its sd is about sqrt(2/9/1000).
  CHECK(factors / trials == doctest::Approx(1).epsilon(0.06));
}
