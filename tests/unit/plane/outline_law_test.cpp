// Point in outline and clearance against Boost.Geometry on 100,000 random cases; what a line loses against
// sampling.
#include <doctest/doctest.h>

#include <boost/geometry.hpp>
#include <boost/geometry/geometries/linestring.hpp>
#include <boost/geometry/geometries/point_xy.hpp>
#include <boost/geometry/geometries/polygon.hpp>

#include "plane_support.h"

using namespace plane_test;

namespace {

namespace bg = boost::geometry;
using BoostPoint = bg::model::d2::point_xy<double>;
using BoostPolygon = bg::model::polygon<BoostPoint>;

BoostPolygon boost_polygon(const std::vector<Point<Drawing>>& c) {
  BoostPolygon out;
  for (const auto& p : c) bg::append(out.outer(), BoostPoint(p.at.x.metres(), p.at.y.metres()));
  bg::correct(out);
  return out;
}

}  // namespace

TEST_CASE(
    "point in outline, clearance, area and validity agree with Boost.Geometry on 100,000 random cases") {
  std::mt19937_64 random(1);
  for (int outline = 0; outline < 5000; ++outline) {
    const auto c = random_star(random);
    const auto made = Outline::make(c);
    const BoostPolygon other = boost_polygon(c);
    REQUIRE(std::holds_alternative<Outline>(made));
    const Outline& o = std::get<Outline>(made);
    CHECK(std::abs(o.area() - bg::area(other)) < 1e-9 * (1 + o.area()));
    for (int i = 0; i < 20; ++i) {
      const Point<Drawing> p =
          at(c[0].at.x.metres() + uniform(random, -12, 12), c[0].at.y.metres() + uniform(random, -12, 12));
      const BoostPoint q(p.at.x.metres(), p.at.y.metres());
      const bool inside = bg::covered_by(q, other);
      if ((o.side_of(p) != Outline::Side::outside) != inside) FAIL_CHECK("side");
      const double distance = inside ? 0 : bg::distance(q, other);
      if (std::abs(o.clearance(p).metres() - distance) > 1e-9) FAIL_CHECK("clearance");
      const Point<Drawing> to =
          at(p.at.x.metres() + uniform(random, -9, 9), p.at.y.metres() + uniform(random, -9, 9));
      const bg::model::linestring<BoostPoint> sight{q, BoostPoint(to.at.x.metres(), to.at.y.metres())};
      if (o.meets(p, to) != bg::intersects(sight, other)) FAIL_CHECK("sight");
    }
  }
}

TEST_CASE("random corners make an outline exactly where Boost.Geometry finds the polygon valid") {
  std::mt19937_64 random(1);
  std::size_t valid = 0, refused = 0;
  for (int i = 0; i < 20000; ++i) {
    std::vector<Point<Drawing>> c;
    const int n = std::uniform_int_distribution<int>(3, 7)(random);
    // On a coarse grid, so that corners meet edges and one another.
    for (int k = 0; k < n; ++k)
      c.push_back(at(std::uniform_int_distribution<int>(0, 4)(random),
                     std::uniform_int_distribution<int>(0, 4)(random)));
    if (distance(c.front(), c.back()) <= kHair) continue;
    bool repeated = false;
    for (std::size_t k = 1; k < c.size(); ++k) repeated = repeated || distance(c[k], c[k - 1]) <= kHair;
    bg::validity_failure_type why{};
    const bool sound = bg::is_valid(boost_polygon(c), why) && !repeated;
    const bool made = std::holds_alternative<Outline>(Outline::make(c));
    if (made != sound) FAIL_CHECK("validity: " << bg::wkt(boost_polygon(c)));
    (sound ? valid : refused) += 1;
  }
  CHECK(valid > 1000);
  CHECK(refused > 1000);
}

TEST_CASE("a line is blocked exactly where its places are") {
  std::mt19937_64 random(1);
  for (int i = 0; i < 1000; ++i) {
    const auto c = random_star(random);
    const Outline o = std::get<Outline>(Outline::make(c));
    const double clearance = uniform(random, -1, 2);
    const Length r = m(std::max(0.0, clearance)), angle = m(uniform(random, 0, 6.28));
    const Point<Drawing> p =
        at(c[0].at.x.metres() + uniform(random, -5, 5), c[0].at.y.metres() + uniform(random, -5, 5));
    const double ux = std::cos(angle.metres()), uy = std::sin(angle.metres());
    const auto stretches = o.blocked(p, {{.x = m(3 * ux), .y = m(3 * uy)}}, r);
    for (int k = 0; k < 200; ++k) {
      const double t = uniform(random, -20, 20);
      bool within = false, near_end = false;
      for (const Stretch& s : stretches) {
        within = within || (t > s.from.metres() && t < s.to.metres());
        near_end = near_end || std::abs(t - s.from.metres()) < 1e-7 || std::abs(t - s.to.metres()) < 1e-7;
      }
      if (!near_end && within != o.blocks(at(p.at.x.metres() + t * ux, p.at.y.metres() + t * uy), r))
        FAIL_CHECK("at " << t);
    }
  }
}
