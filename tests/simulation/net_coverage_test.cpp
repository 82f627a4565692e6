// Do the stated 95 % regions of all that a net fixes hold 95 % of the truths? Control with noise, setups over
// control, over a sighted point and free, ties from two setups.
#include <doctest/doctest.h>

#include <map>
#include <string>

#include "simulation/floor_world.h"

using namespace net_test;

namespace {

const Sds kSds{
    .angle = 1.2e-5, .distance = 0.0015, .ppm = 2, .target = 0.001, .centring = 0.001, .height = 0.001};
constexpr double kControlSd = 0.001;
constexpr std::size_t kFloors = 10000;

using Shares = std::map<std::string, Share>;

void count_setup(Shares& shares, const Standing& truth, const SetupResult& got, const std::string& when) {
  REQUIRE(got.status == SetupStatus::solved);
  shares["place of " + when].add(in_ellipse(got.at.at.northing.metres() - truth.in.axis.n,
                                            got.at.at.easting.metres() - truth.in.axis.e,
                                            got.plan_covariance()));
  const double turn = std::remainder(got.orientation->radians() - truth.in.orientation, 2 * std::numbers::pi);
  shares["orientation of " + when].add(in_95(turn, got.sd_orientation()->radians()));
  shares["ground mark of " + when].add(
      in_95(got.elevation->above_datum().metres() - truth.ground.h, got.elevation_sd->metres()));
}

void count_points(Shares& shares, const NetWorld& world, const NetResult& got,
                  const std::vector<std::size_t>& points, const std::string& what) {
  for (const std::size_t p : points) {
    if (!got.points[p] || got.points[p]->sights == 0) continue;
    shares["place of " + what].add(holds(*got.points[p], world.truth(p)));
    shares["elevation of " + what].add(holds_height(*got.points[p], world.truth(p)));
  }
}

void check(const Shares& shares) {
  for (const auto& [what, share] : shares) {
    MESSAGE(what << ": inside " << share.inside << " of " << share.of);
    // 10,000 trials at 95 % have a binomial sd of 0.22 %: three of them either way.
    if (!kSanitized) CHECK_MESSAGE((share.percent() >= 94.3 && share.percent() <= 95.7), what);
  }
}

}  // namespace

TEST_CASE("95 % regions of a net's setups and points hold 95 % of them") {
  Noise noise;
  Shares shares;
  for (std::size_t k = 0; k < 2 * repeats(kFloors); ++k) {
    Floor floor(noise, kSds, kControlSd, k % 2 == 0);
    const NetResult got = floor.world.adjust();
    for (std::size_t s = 0; s < floor.world.standings().size(); ++s)
      count_setup(shares, floor.world.standings()[s], got.setups[s],
                  s == 0 ? std::string(k % 2 == 0 ? "a setup over control" : "a setup over a sighted point")
                         : "a free setup");
    count_points(shares, floor.world, got, floor.control, "control");
    count_points(shares, floor.world, got, floor.ties, "ties");
    count_points(shares, floor.world, got, floor.deck, "deck points");
    count_points(shares, floor.world, got, floor.marks, "list marks");
  }
  check(shares);
}
