// Baselines fitted to ties of one net: do the stated 95 % regions of the baselines, of mapped hangers and of
// marks staked from a later setup hold 95 % of the truths? Every tie shares the errors of the setups that
// sighted it, and the stake the errors of control.
#include <doctest/doctest.h>

#include <array>

#include "baseline/fit.h"
#include "simulation/floor_world.h"

using namespace net_test;

namespace {

const Sds kSds{
    .angle = 1.2e-5, .distance = 0.0015, .ppm = 2, .target = 0.001, .centring = 0.001, .height = 0.001};
constexpr double kControlSd = 0.001, kTieSd = 0.001;
constexpr std::size_t kFloors = 10000;

/// Where the building stands: +X at an azimuth, +Y 90 degrees to the left of it.
struct Building {
  double azimuth = 0, n = 0, e = 0;

  double x(const Spot& s) const { return (s.n - n) * std::cos(azimuth) + (s.e - e) * std::sin(azimuth); }
  double y(const Spot& s) const { return (s.n - n) * std::sin(azimuth) - (s.e - e) * std::cos(azimuth); }
  Spot at(double x, double y) const {
    return {n + x * std::cos(azimuth) + y * std::sin(azimuth),
            e + x * std::sin(azimuth) - y * std::cos(azimuth)};
  }
};

struct Fitted {
  BaselineResult result;
  std::vector<NetForm> places;  // northing, easting of each tie
};

/// Ties with their drawn coordinates, which the building keeps with an error of its own.
Fitted fit(const Floor& floor, const NetResult& net, const Building& building, Noise& noise) {
  Fitted out;
  std::vector<Tie> ties;
  for (const std::size_t p : floor.ties) {
    const Spot& truth = floor.world.truth(p);
    Tie t{m(building.x(truth) + kTieSd * noise.normal()),
          m(building.y(truth) + kTieSd * noise.normal()),
          net.points[p]->at,
          m(kTieSd),
          m(kTieSd),
          m(0.006)};
    ties.push_back(t);
    out.places.push_back({{NetPart::Of::point, p, 0, 1}});
    out.places.push_back({{NetPart::Of::point, p, 1, 1}});
  }
  const Matrix places = net.covariance.of(out.places);
  const std::vector<Point<Drawing>> mapped{{{.x = m(-10), .y = m(-10)}}, {{.x = m(10), .y = m(10)}}};
  out.result = fit_baselines(TieView(ties, &places), {}, mapped);
  return out;
}

/// What a mark staked from a setup lies off by: the setup's and the baselines' errors together, and the
/// crew's.
struct Stake {
  double n = 0, e = 0;
  PlanCovariance<Site> spread;
};

using Form = std::array<double, 4>;  // of site_centre easting, northing, azimuth, scale

Stake stake_from(const Floor& floor, const NetResult& net, const Fitted& fitted, const Point<Drawing>& mark,
                 const Spot& truth, Noise& noise) {
  const std::size_t s = Floor::kLater;
  const SetupResult& setup = net.setups[s];
  const Standing& real = floor.world.standings()[s];
  const FittedTransform& fit = *fitted.result.fit;
  const Point<Site> where = fit.site_from_drawing(mark);
  const double qn = (where.at.northing - setup.at.at.northing).metres(),
               qe = (where.at.easting - setup.at.at.easting).metres(), reach = std::hypot(qn, qe);
  // The crew turns to the circle and measures the distance, both faces.
  const double along_sd = std::hypot(kSds.distance + kSds.ppm * 1e-6 * reach, kSds.target),
               across_sd = std::hypot(reach * kSds.angle, kSds.target);
  const double along = along_sd * noise.normal(), across = across_sd * noise.normal();
  const double way = std::atan2(qe, qn) - setup.orientation->radians() + real.in.orientation;
  Stake out;
  const double un = std::cos(way), ue = std::sin(way);
  out.n = real.in.axis.n + (reach + along) * un - across * ue - truth.n;
  out.e = real.in.axis.e + (reach + along) * ue + across * un - truth.e;

  // Off = mapped less setup, the turn of the setup taking the mark along; all by what the net holds jointly.
  std::vector<NetForm> forms = fitted.places;
  for (std::size_t part = 0; part < 3; ++part) forms.push_back({{NetPart::Of::setup, s, part, 1}});
  const Matrix joint = net.covariance.of(forms);
  const SimilarityParts& parts = fit.site_from_drawing.parts();
  const double dn = (where.at.northing - parts.site_centre.at.northing).metres(),
               de = (where.at.easting - parts.site_centre.at.easting).metres();
  const Form mapped[2] = {{0, 1, -de, dn}, {1, 0, dn, de}};  // northing, easting by the baselines
  const double placed[2][3] = {{-1, 0, qe}, {0, -1, -qn}};   // and of the mark by the setup
  const std::size_t first = fitted.places.size();
  double c[2][2];
  const PlanCovariance<Site> own = fit.covariance_at(mark);
  const double of_map[2][2] = {{own.first, own.cross}, {own.cross, own.second}};
  const auto cross = [&](std::size_t a, std::size_t b) {  // mapped a with setup b
    double sum = 0;
    for (std::size_t k = 0; k < 4; ++k)
      for (std::size_t t = 0; t < first; ++t)
        for (std::size_t j = 0; j < 3; ++j)
          sum += mapped[a][k] * fitted.result.gain(k, t) * joint(t, first + j) * placed[b][j];
    return sum;
  };
  for (std::size_t a = 0; a < 2; ++a)
    for (std::size_t b = 0; b < 2; ++b) {
      double of_setup = 0;
      for (std::size_t i = 0; i < 3; ++i)
        for (std::size_t j = 0; j < 3; ++j)
          of_setup += placed[a][i] * joint(first + i, first + j) * placed[b][j];
      c[a][b] = of_map[a][b] + of_setup + cross(a, b) + cross(b, a);
    }
  const double al = along_sd * along_sd, ac = across_sd * across_sd;
  out.spread = {c[0][0] + un * un * al + ue * ue * ac, c[0][1] + un * ue * (al - ac),
                c[1][1] + ue * ue * al + un * un * ac};
  return out;
}

}  // namespace

TEST_CASE("95 % regions of baselines, mapped hangers and later stakes hold 95 % of them") {
  Noise noise;
  Share azimuth, centre, hangers, stakes;
  for (std::size_t k = 0; k < repeats(kFloors); ++k) {
    Floor floor(noise, kSds, kControlSd, k % 2 == 0);
    const NetResult net = floor.world.adjust();
    const Building building{noise.uniform(0, 6.28), noise.uniform(-5, 5), noise.uniform(-5, 5)};
    const Fitted fitted = fit(floor, net, building, noise);
    REQUIRE(fitted.result.status == FitStatus::solved);
    const FittedTransform& got = *fitted.result.fit;
    const SimilarityParts& parts = got.site_from_drawing.parts();
    azimuth.add(in_95(std::remainder(parts.azimuth_x.degrees() * std::numbers::pi / 180 - building.azimuth,
                                     2 * std::numbers::pi),
                      std::sqrt(got.covariance[2][2])));
    const auto holds_at = [&](const Point<Drawing>& p) {
      const Spot truth = building.at(p.at.x.metres(), p.at.y.metres());
      const Point<Site> mapped = got.site_from_drawing(p);
      return in_ellipse(mapped.at.northing.metres() - truth.n, mapped.at.easting.metres() - truth.e,
                        got.covariance_at(p));
    };
    centre.add(holds_at(parts.drawing_centre));
    const Spot spot{noise.uniform(-18, 18), noise.uniform(-18, 18), 100};
    const Point<Drawing> hanger{{.x = m(building.x(spot)), .y = m(building.y(spot))}};
    hangers.add(holds_at(hanger));
    const Stake stake = stake_from(floor, net, fitted, hanger, spot, noise);
    stakes.add(in_ellipse(stake.n, stake.e, stake.spread));
  }
  for (const auto& [what, share] : {std::pair<std::string, Share>{"azimuth of the baselines", azimuth},
                                    {"crossing of the baselines", centre},
                                    {"mapped hangers", hangers},
                                    {"stakes from a later setup", stakes}}) {
    MESSAGE(what << ": inside " << share.inside << " of " << share.of);
    // 10,000 trials at 95 % have a binomial sd of 0.22 %: three of them either way.
    if (!kSanitized) CHECK_MESSAGE((share.percent() >= 94.3 && share.percent() <= 95.7), what);
  }
}
