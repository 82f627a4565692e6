#include "stages/ground.h"

#include <doctest/doctest.h>

#include "unit/stages/plain.h"

using namespace plain;

namespace {

/// A transverse Mercator projection with its middle at 9 degrees east: there the point scale is 0.9996 by
/// definition, and with the distance d from the middle it grows by d^2 / (2 R^2), R near 6,379 km.
std::shared_ptr<const GridSystem> middle_projection() {
  auto made =
      GridSystem::open("+proj=tmerc +lat_0=0 +lon_0=9 +k_0=0.9996 +x_0=500000 +y_0=0 +ellps=WGS84 +units=m");
  REQUIRE(made);
  return *made;
}

Point<Grid> grid(double northing, double easting) {
  return {{.northing = m(northing), .easting = m(easting)}};
}

struct Control {
  std::string name;
  double north = 0, east = 0;  ///< in the grid, from 5,300,000 and 500,000
};

/// Control on the ellipsoid, brought to ground scale about its first point.
struct Ground {
  GroundJob job;
  std::vector<ControlPoint> control;

  explicit Ground(const std::vector<Control>& points) {
    job.system = middle_projection();
    for (const Control& c : points) job.control.push_back(grid(5300000 + c.north, 500000 + c.east));
    job.ground = claim_ground(job.control[0], 0.9996);
    for (std::size_t i = 0; i < points.size(); ++i)
      control.push_back({points[i].name, job.ground->to_ground(job.control[i]), {}, {}});
  }
  GroundStated view() const {
    return {job, control, Where::whole("job.toml"), Where::at("job.toml", {3, 7})};
  }
  /// With marks at these ground distances north and east of the first control point.
  Staged<GroundFound> look(const std::vector<std::pair<double, double>>& marks, bool by_ties = true) const {
    std::vector<PlainMark> rows;
    for (std::size_t i = 0; i < marks.size(); ++i) rows.push_back({"P" + std::to_string(i + 1)});
    PlainLaid laid = laid_of(rows);
    laid.placed.marks.clear();
    if (by_ties) laid.placed.baseline = BaselineResult{};
    for (const auto& [north, east] : marks)
      laid.placed.marks.push_back(control[0].at + Vec<Site>{{.northing = m(north), .easting = m(east)}});
    return look_at_ground(view(), &laid.marks, &laid.placed);
  }
};

double left(const GroundFound::Way& w) { return (w.check.ground - w.check.geodesic).millimetres(); }

}  // namespace

TEST_CASE("a job without a projection has no ground; its north is the site's") {
  const GroundJob none;
  const std::vector<ControlPoint> control;
  CHECK(look_at_ground({none, control, {}, {}}, nullptr, nullptr).came == Came::absent);
  CHECK(north_word(none) == "site north");
  CHECK(north_word(Ground({{"C1"}}).job) == "grid north");
}

TEST_CASE("rows of the control: factors at the point, ground by the factor of the base") {
  const Ground ground({{"C1"}, {"C2", 100, 0}});
  const auto found = look_at_ground(ground.view(), nullptr, nullptr);
  REQUIRE(found.is_there());
  REQUIRE(found.value->rows.size() == 2);
  CHECK(found.value->rows[1].point_scale == doctest::Approx(0.9996).epsilon(1e-10));
  // 100 m on the grid are 100 / 0.9996 = 100.040016 m on the ground.
  const Vec<Site> apart = found.value->rows[1].ground - found.value->rows[0].ground;
  CHECK(apart.by.northing.metres() == doctest::Approx(100 / 0.9996).epsilon(1e-9));
  CHECK(apart.by.easting.metres() == doctest::Approx(0));
  CHECK_FALSE(found.value->placed);
  REQUIRE(found.value->ways.size() == 1);
  CHECK(found.value->ways[0].from == "C1");
  CHECK(found.value->ways[0].to == "C2");
  CHECK(found.value->ways[0].check.ground.metres() == doctest::Approx(100 / 0.9996).epsilon(1e-9));
  CHECK(std::abs(left(found.value->ways[0])) < 0.01);
  CHECK(found.told.doubts() == 0);
}

TEST_CASE("ways lead from the base to the farthest control and to the farthest mark") {
  const Ground ground({{"C1"}, {"C2", 100, 0}, {"C3", 300, 0}, {"C4", 0, 200}});
  const auto found = ground.look({{10, 0}, {50, -60}, {0, 20}});
  REQUIRE(found.is_there());
  CHECK(found.value->placed);
  CHECK(found.value->farthest == 1);
  REQUIRE(found.value->ways.size() == 2);
  CHECK(found.value->ways[0].to == "C3");
  CHECK(found.value->ways[1].from == "C1");
  CHECK(found.value->ways[1].to == "P2");
  // A mark beyond all control is no control.
  const auto beyond = ground.look({{400, 0}});
  REQUIRE(beyond.value->ways.size() == 2);
  CHECK(beyond.value->ways[0].to == "C3");
  CHECK(beyond.value->ways[1].to == "P1");
}

TEST_CASE("a base that is not the first point") {
  Ground ground({{"C1"}, {"C2", 100, 0}, {"C3", 110, 0}});
  ground.job.base = 2;
  const auto found = ground.look({{0, 0}});  // on C1, farthest from C3
  REQUIRE(found.is_there());
  CHECK(found.value->ways[0].from == "C3");
  CHECK(found.value->ways[0].to == "C1");
}

TEST_CASE("one factor for the whole job is a doubt where it leaves more than 1 mm") {
  // d m east of the middle one factor leaves d^3 / (6 R^2): 1 mm at 6.25 km, 4.1 mm at 10 km.
  const auto one_factor = [](double east) {
    return told(look_at_ground(Ground({{"C1"}, {"C2", 0, east}}).view(), nullptr, nullptr).told,
                Grade::doubt);
  };
  CHECK(one_factor(6000).empty());
  CHECK(one_factor(6500).size() == 1);
  CHECK(
      one_factor(10000) ==
      std::vector<std::string>{
          "job.toml:3:7: site.ground_at: one factor for the whole job leaves 4.1 mm between C1 and C2: the "
          "scale of the projection changes that much; a point nearer to the middle of the work leaves less"});
}

TEST_CASE("the worst distance is shown where it says more than those from the base") {
  // Base at the middle; control 10 km east and west: between the two 8.2 mm are left, from the base 4.1 mm.
  const auto both =
      look_at_ground(Ground({{"C1"}, {"East", 0, 10000}, {"West", 0, -10000}}).view(), nullptr, nullptr);
  REQUIRE(both.value->ways.size() == 2);
  CHECK(std::abs(left(both.value->ways[0])) == doctest::Approx(4.1).epsilon(0.01));
  CHECK(std::abs(left(both.value->ways[1])) == doctest::Approx(8.2).epsilon(0.01));
  // 100 m apart they leave nothing more.
  CHECK(look_at_ground(Ground({{"C1"}, {"E", 0, 50}, {"W", 0, -50}}).view(), nullptr, nullptr)
            .value->ways.size() == 1);
}

TEST_CASE("marks 20 km from the control are near; further off they are told, and judged by nothing") {
  const Ground ground({{"C1"}, {"C2", 100, 0}});
  CHECK(ground.look({{0, 0}, {20000, 0}}).value->placed);
  const auto far = ground.look({{0, 0}, {20001, 0}, {100, 0}});
  CHECK(far.is_there());
  CHECK_FALSE(far.value->placed);
  CHECK(far.value->farthest == 1);
  CHECK(far.value->ways.empty());
  const auto lines = told(far.told, Grade::doubt);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].starts_with(
      "drawing.csv:3:1: point: P2 lies 20.0 km from C1; the factor of C1 is 0.0 ppm off there: "));
  CHECK(lines[0].ends_with("are the ties in ground coordinates about that point?"));
  CHECK(told(ground.look({{20001, 0}}, false).told, Grade::doubt)[0].ends_with(
      "without ties x and y are taken for easting and northing"));
}

TEST_CASE("the factor's change far off is told in parts per million") {
  // 63.79 km east: (63.79 / 6379)^2 / 2 is 50 ppm.
  const auto lines = told(Ground({{"C1"}}).look({{0, 63790}}).told, Grade::doubt);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].find("P1 lies 63.8 km from C1; the factor of C1 is ") != std::string::npos);
  const auto at = lines[0].find("is ") + 3;
  CHECK(std::stod(lines[0].substr(at)) == doctest::Approx(50).epsilon(0.01));
}

TEST_CASE("control that the projection has no factor for is refused") {
  Ground ground({{"C1"}, {"C2", 0, 1e12}});
  const auto found = look_at_ground(ground.view(), nullptr, nullptr);
  CHECK(found.is_spoiled());
  const auto lines = told(found.told, Grade::problem);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].starts_with("job.toml: site.crs: found a control point that has no scale factor in "));
}
