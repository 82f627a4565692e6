// The net against the second computation of the tests: places, sds, redundancies, residuals, square sums.
#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "adjust/statistics.h"
#include "simulation/classic_nets.h"
#include "simulation/net_input.h"
#include "simulation/published_nets.h"
#include "simulation/random_nets.h"
#include "support/text.h"

using namespace deckmark;
using deckmark_test::Noise;
using deckmark_test::text;

namespace {

constexpr double kPlace = 1e-7, kTurn = 1e-8, kShare = 1e-6;  // m, rad, of sds and redundancies

void near(double got, double want, double within, const std::string& what) {
  CAPTURE(text("got %.12g, want %.12g", got, want));
  CHECK_MESSAGE(std::fabs(got - want) <= within, what);
}
void near_share(double got, double want, const std::string& what) {
  // What is exact is held to 0.1 micrometre, in one reading or two.
  constexpr double kHeld = 2e-7;
  near(got, want, kShare * std::fabs(want) + std::hypot(want, kHeld) - std::fabs(want), what);
}

void check_place(const Point<Site>& at, const PlanCovariance<Site>& covariance,
                 const dense_net::Place& want) {
  near(at.at.northing.metres(), want.n, kPlace, "northing");
  near(at.at.easting.metres(), want.e, kPlace, "easting");
  near_share(std::sqrt(covariance.first), want.sd_n, "sd_northing");
  near_share(std::sqrt(covariance.second), want.sd_e, "sd_easting");
  near(covariance.cross, want.cross, kShare * want.sd_n * want.sd_e + 1e-18, "covariance");
}
void check_height(const std::optional<Elevation>& at, const std::optional<Length>& sd,
                  const dense_net::Place& want) {
  REQUIRE(at.has_value());
  REQUIRE(sd.has_value());
  near(at->above_datum().metres(), want.h, kPlace, "elevation");
  near_share(sd->metres(), want.sd_h, "sd_elevation");
}

void check_setup(const SetupResult& got, const dense_net::Standing& want, bool turns, bool heights) {
  // A place without an orientation is told as that where the setup stands on a mark.
  REQUIRE((got.status == SetupStatus::solved || (!turns && got.status == SetupStatus::no_orientation)));
  check_place(got.at, got.plan_covariance(), want);
  CHECK(got.orientation.has_value() == turns);
  if (turns && got.orientation) {
    near(std::remainder(got.orientation->radians() - want.turn, 2 * std::numbers::pi), 0, kTurn,
         "orientation");
    near_share(got.sd_orientation()->radians(), want.sd_turn, "sd_orientation");
  }
  if (heights) check_height(got.elevation, got.elevation_sd, want);
}

void check_row(const SightRow& got, const dense_net::Row& want, bool alone) {
  CHECK(want.is_there);
  const bool is_circle = got.quantity == Quantity::circle;
  near(is_circle ? got.circle_residual.radians() : got.length_residual.metres(), want.residual,
       is_circle ? kTurn : kPlace, "residual");
  // A distance and the height that comes from the same slope share their redundancy in more than one way.
  if (alone) near(got.redundancy, want.redundancy, kShare, "redundancy");
  CHECK(got.redundancy >= 0);
  CHECK(got.redundancy <= 1 + 1e-9);
  if (want.residual_sd < (is_circle ? 1e-8 : 1e-6)) return;  // nothing checks it
  REQUIRE(got.standardised.has_value());
  near(*got.standardised, want.standardised, 1e-4, "standardised");
}

void check_rows(const dense_net::AsInput& made, const NetResult& got, const dense_net::Adjusted& want) {
  std::size_t rows = 0, wanted = 0;  // of what anything else checks
  for (std::size_t i = 0; i < want.rays.size(); ++i) {
    const auto [setup, sight] = made.sight_of(i);
    const dense_net::RayRows& ray = want.rays[i];
    const bool checked = ray.redundancy() > 1e-6;
    if (checked)
      wanted += static_cast<std::size_t>(ray.circle.is_there) +
                static_cast<std::size_t>(ray.distance.is_there) + static_cast<std::size_t>(ray.rise.is_there);
    double redundancy = 0;
    for (const SightRow& row : got.setups[setup].rows) {
      if (row.sight != sight) continue;
      redundancy += row.redundancy;
      if (checked) ++rows;
      CAPTURE(text("setup %zu, sight %zu, quantity %d", setup, sight, static_cast<int>(row.quantity)));
      check_row(row,
                row.quantity == Quantity::circle     ? ray.circle
                : row.quantity == Quantity::distance ? ray.distance
                                                     : ray.rise,
                row.quantity == Quantity::circle || !ray.rise.is_there);
    }
    near(redundancy, ray.redundancy(), 3 * kShare, "redundancy of a sight");
  }
  CHECK(rows == wanted);
}

void check_net(const dense_net::Net& net) {
  const dense_net::Adjusted want = dense_net::adjust(net);
  REQUIRE(want.settled);
  const dense_net::AsInput made(net);
  const NetResult got = adjust_net(made.input(), made.options());
  REQUIRE(got.setups.size() == net.stands.size());
  REQUIRE(got.points.size() == net.marks.size());
  double shares = 0;
  for (std::size_t i = 0; i < net.stands.size(); ++i) {
    CAPTURE(text("setup %zu", i));
    bool turns = false, heights = false;
    for (const dense_net::Ray& r : net.rays)
      if (r.stand == i) turns = turns || r.circle, heights = heights || r.slope;
    check_setup(got.setups[i], want.stands[i], turns, heights);
    REQUIRE(got.setups[i].share.has_value());
    shares += got.setups[i].share->plan + got.setups[i].share->height;
    if (want.degrees_of_freedom == 0) continue;
    REQUIRE(got.setups[i].share->variance_factor.has_value());
    near_share(*got.setups[i].share->variance_factor,
               want.square_sum / static_cast<double>(want.degrees_of_freedom), "variance factor");
  }
  double redundancies = 0;
  for (const dense_net::RayRows& ray : want.rays) redundancies += ray.redundancy();
  near(shares, redundancies, 1e-5, "redundancies of all sights");
  for (std::size_t i = 0; i < net.marks.size(); ++i) {
    bool sighted = false, heights = false;
    for (const dense_net::Ray& r : net.rays)
      if (r.mark == i) sighted = true, heights = heights || r.slope;
    if (!sighted) continue;
    CAPTURE(text("point %zu", i));
    REQUIRE(got.points[i].has_value());
    check_place(got.points[i]->at, got.points[i]->covariance, want.marks[i]);
    if (heights) check_height(got.points[i]->elevation, got.points[i]->elevation_sd, want.marks[i]);
  }
  check_rows(made, got, want);
}

void check_random(const dense_net::RandomNetOptions& most, std::size_t runs) {
  Noise noise;
  for (std::size_t k = 0; k < deckmark_test::repeats(runs); ++k) {
    dense_net::RandomNetOptions one = most;
    one.marks = 6 + noise.below(most.marks - 5), one.stands = 1 + noise.below(most.stands);
    CAPTURE(text("net %zu: %zu marks, %zu setups", k, one.marks, one.stands));
    check_net(dense_net::RandomNet(noise, one).net);
  }
}

}  // namespace

TEST_CASE("published networks: the net is the dense adjustment") {
  for (const std::string& name : deckmark_test::network_names()) {
    CAPTURE(name);
    check_net(dense_net::net_of(deckmark_test::read_network(name)).net);
  }
}

TEST_CASE("nets of polar sights at random are the dense adjustment") {
  check_random({.marks = 56, .stands = 26, .circle_only = false, .distances_only = false}, 100);
}
TEST_CASE("nets at random with directions to points are the dense adjustment") {
  check_random({.marks = 56, .stands = 26, .circle_only = true, .distances_only = false}, 100);
}
TEST_CASE("nets at random with setups by distances alone are the dense adjustment") {
  check_random({.marks = 20, .stands = 8, .circle_only = false, .distances_only = true}, 100);
}

TEST_CASE("nets at random over a kilometre, far from the origin, are the dense adjustment") {
  check_random({.marks = 30,
                .stands = 12,
                .distances_only = false,
                .set_up_exactly = true,
                .size = 25,
                .north = 5413200,
                .east = 642300},
               50);
}

TEST_CASE("textbook nets, no coordinates to start from, are the dense adjustment") {
  struct Kind {
    const char* name;
    dense_net::ClassicNetOptions options;
  };
  Noise noise;
  for (const Kind& kind : {Kind{"directions, every point occupied", {.lines = 0.8}},
                           Kind{"directions, some points occupied", {.occupied = 0.4, .lines = 0.9}},
                           Kind{"directions from control", {.occupied = 0, .lines = 1}},
                           Kind{"distances", {.circles = 0, .distances = 1}},
                           Kind{"distances to points", {.circles = 0, .distances = 1, .occupied = 0.4}},
                           Kind{"directions and some distances", {.distances = 0.4, .occupied = 0.8}},
                           Kind{"now the one, now the other", {.circles = 0.6, .distances = 0.6}},
                           Kind{"both on half the lines", {.distances = 1, .lines = 0.5}},
                           Kind{"weighted control", {.distances = 0.5, .control_sd = 0.01}}}) {
    CAPTURE(std::string(kind.name));
    for (std::size_t made = 0, k = 0; made < deckmark_test::repeats(100) && k < 100000; ++k) {
      const auto net = dense_net::classic_net(noise, kind.options);
      if (!net) continue;
      ++made;
      CAPTURE(text("net %zu", made));
      check_net(*net);
    }
  }
}

TEST_CASE("limit of a standardised residual: 1 clean net in 100 has one over it, and never under 3.29") {
  // Two-sided normal quantiles of 0.99^(1/m), from a table of the standard normal by other software.
  for (const auto& [checked, limit] : {std::pair<std::size_t, double>{0, 3.29},
                                       {1, 3.29},
                                       {9, 3.29},
                                       {10, 3.29},
                                       {20, 3.479478568},
                                       {50, 3.717773283},
                                       {100, 3.889385650},
                                       {1000, 4.416088708},
                                       {3600, 4.685574586}})
    CHECK(wrong_limit(checked) == doctest::Approx(limit).epsilon(1e-7));
}
