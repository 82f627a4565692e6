// Outlines: which corners make one, and what they hold, against closed forms.
#include <doctest/doctest.h>

#include "plane_support.h"

using namespace plane_test;
using Kind = OutlineFault::Kind;

namespace {

Outline outline(const std::vector<Point<Drawing>>& c) {
  const auto made = Outline::make(c);
  REQUIRE(std::holds_alternative<Outline>(made));
  return std::get<Outline>(made);
}
Outline rectangle(double x0, double y0, double x1, double y1) {
  return outline(corners({{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}));
}

}  // namespace

TEST_CASE(
    "hostile corners are refused with the corner named, sound ones accepted whichever way they go round") {
  struct Row {
    const char* what;
    std::vector<Point<Drawing>> corners;
    std::optional<OutlineFault> fault;
  };
  const Row rows[] = {
      {"nothing", {}, OutlineFault{Kind::too_few, 0, 0}},
      {"two corners", corners({{0, 0}, {1, 0}}), OutlineFault{Kind::too_few, 1, 0}},
      {"two corners closed", corners({{0, 0}, {1, 0}, {0, 0}}), OutlineFault{Kind::folds_back, 0, 0}},
      {"counter-clockwise", corners({{0, 0}, {4, 0}, {4, 2}, {0, 2}}), {}},
      {"clockwise", corners({{0, 2}, {4, 2}, {4, 0}, {0, 0}}), {}},
      {"closed by its first corner", corners({{0, 0}, {4, 0}, {4, 2}, {0, 2}, {0, 0}}), {}},
      {"a corner on a straight edge", corners({{0, 0}, {2, 0}, {4, 0}, {4, 2}, {0, 2}}), {}},
      {"an L", corners({{0, 0}, {4, 0}, {4, 2}, {2, 2}, {2, 4}, {0, 4}}), {}},
      {"a repeated corner", corners({{0, 0}, {4, 0}, {4, 0}, {4, 2}, {0, 2}}),
       OutlineFault{Kind::repeated, 2, 1}},
      {"the first twice at once", corners({{0, 0}, {0, 0}, {4, 0}, {4, 2}}),
       OutlineFault{Kind::repeated, 1, 0}},
      {"a bow tie", corners({{0, 0}, {4, 2}, {4, 0}, {0, 2}}), OutlineFault{Kind::crosses, 2, 0}},
      {"all on one line", corners({{0, 0}, {1, 0}, {2, 0}}), OutlineFault{Kind::folds_back, 0, 0}},
      {"a spike", corners({{0, 0}, {4, 0}, {4, 2}, {2, 2}, {2, 5}, {2, 2}, {0, 2}}),
       OutlineFault{Kind::folds_back, 4, 4}},
      {"a corner on another edge", corners({{0, 0}, {4, 0}, {4, 2}, {2, 0}, {0, 2}}),
       OutlineFault{Kind::touches, 3, 0}},
      {"one place twice", corners({{0, 0}, {2, 1}, {4, 0}, {4, 2}, {2, 1}, {0, 2}}),
       OutlineFault{Kind::touches, 4, 0}},
      {"edges that lie on one another",
       corners({{0, 0}, {4, 0}, {4, 2}, {3, 2}, {3, 0}, {1, 0}, {1, 2}, {0, 2}}),
       OutlineFault{Kind::touches, 4, 0}},
      {"a sliver without area", corners({{0, 0}, {1, 0}, {2, 1e-10}, {3, 0}, {1.5, -1e-10}}),
       OutlineFault{Kind::folds_back, 0, 0}},
  };
  for (const Row& r : rows) {
    CAPTURE(r.what);
    const auto made = Outline::make(r.corners);
    if (!r.fault) {
      CHECK(std::holds_alternative<Outline>(made));
      continue;
    }
    REQUIRE(std::holds_alternative<OutlineFault>(made));
    const OutlineFault fault = std::get<OutlineFault>(made);
    CHECK(static_cast<int>(fault.kind) == static_cast<int>(r.fault->kind));
    CHECK(fault.corner == r.fault->corner);
    CHECK(fault.other == r.fault->other);
  }
}

TEST_CASE("more corners than can be compared with one another are refused") {
  std::vector<Point<Drawing>> many;
  for (std::size_t i = 0; i < kMostCorners + 1; ++i) {
    const double a = 6.283185307179586 * static_cast<double>(i) / static_cast<double>(kMostCorners + 1);
    many.push_back(at(std::cos(a), std::sin(a)));
  }
  CHECK(std::get<OutlineFault>(Outline::make(many)).kind == Kind::too_many);
  many.pop_back();
  CHECK(std::holds_alternative<Outline>(Outline::make(many)));
}

TEST_CASE("inside, on the edge and outside of an L") {
  const Outline l = outline(corners({{0, 0}, {4, 0}, {4, 2}, {2, 2}, {2, 4}, {0, 4}}));
  CHECK(l.area() == doctest::Approx(12));
  CHECK(l.is_counter_clockwise());
  struct Row {
    double x, y;
    Outline::Side side;
    double clearance;
  };
  using S = Outline::Side;
  for (const Row& r :
       {Row{1, 1, S::inside, 0}, Row{3, 3, S::outside, 1}, Row{2, 3, S::edge, 0}, Row{4, 2, S::edge, 0},
        Row{5, 2, S::outside, 1}, Row{1, 4, S::edge, 0}, Row{1, 2, S::inside, 0}, Row{-3, -4, S::outside, 5},
        Row{0, 0, S::edge, 0}, Row{2, 2, S::edge, 0}, Row{-1, 2, S::outside, 1}, Row{-1, 0, S::outside, 1},
        Row{-1, 4, S::outside, 1}}) {
    CAPTURE(r.x);
    CAPTURE(r.y);
    CHECK(static_cast<int>(l.side_of(at(r.x, r.y))) == static_cast<int>(r.side));
    CHECK(l.clearance(at(r.x, r.y)).metres() == doctest::Approx(r.clearance));
  }
}

TEST_CASE("clear begins at the clearance itself") {
  const Outline duct = rectangle(0, 0, 6, 0.6);
  CHECK(duct.blocks(at(3, 0.3), m(0)));
  CHECK_FALSE(duct.blocks(at(3, 0.6), m(0)));
  CHECK(duct.blocks(at(3, 0.6 + 0.0999), m(0.1)));
  CHECK_FALSE(duct.blocks(at(3, 0.7), m(0.1)));
  CHECK_FALSE(
      duct.blocks(at(6 + 0.06, 0.6 + 0.08), m(0.1)));  // 3-4-5 from the corner: exactly at the clearance
  CHECK(duct.blocks(at(6 + 0.059, 0.6 + 0.08), m(0.1)));
}

TEST_CASE("what a line loses to a grown outline") {
  const Outline duct = rectangle(0, 0, 6, 0.6);
  const auto across = duct.blocked(at(3, 0.2), {{.x = m(0), .y = m(2)}}, m(0.15));
  REQUIRE(across.size() == 1);
  CHECK(across[0].from.metres() == doctest::Approx(-0.35));
  CHECK(across[0].to.metres() == doctest::Approx(0.55));
  CHECK(duct.blocked(at(3, 0.75), {{.x = m(1), .y = m(0)}}, m(0.15)).empty());  // along the clearance itself
  const auto beside = duct.blocked(at(3, 0.7), {{.x = m(1), .y = m(0)}}, m(0.125));
  REQUIRE(beside.size() == 1);  // beyond the corner by sqrt(0.125^2 - 0.1^2)
  CHECK(beside[0].from.metres() == doctest::Approx(-3.075));
  CHECK(beside[0].to.metres() == doctest::Approx(3.075));
  // A U blocks twice.
  const Outline u = outline(corners({{0, 0}, {6, 0}, {6, 3}, {5, 3}, {5, 1}, {1, 1}, {1, 3}, {0, 3}}));
  CHECK(u.blocked(at(3, 2), {{.x = m(1), .y = m(0)}}, m(0)).size() == 2);
  CHECK(u.blocked(at(3, 2), {{.x = m(1), .y = m(0)}}, m(2.1)).size() == 1);
}

TEST_CASE("the narrower way") {
  struct Row {
    Outline o;
    double x, y, width;
  };
  for (const Row& r : {Row{rectangle(0, 0, 6, 0.6), 0, 1, 0.6}, Row{rectangle(0, 0, 0.6, 6), 1, 0, 0.6},
                       Row{rectangle(0, 0, 2, 2), 1, 0, 2},
                       Row{outline(corners({{0, 0}, {3, 3}, {2, 4}, {-1, 1}})), std::sqrt(0.5),
                           -std::sqrt(0.5), std::sqrt(2)}}) {
    CHECK(r.o.narrower_way().by.x.metres() == doctest::Approx(r.x));
    CHECK(r.o.narrower_way().by.y.metres() == doctest::Approx(r.y));
    CHECK(r.o.width().metres() == doctest::Approx(r.width));
  }
}

TEST_CASE("a sight meets an outline, its corner, or passes") {
  const Outline box = rectangle(0, 0, 2, 1);
  CHECK(box.meets(at(-1, 0.5), at(3, 0.5)));
  CHECK(box.meets(at(0.5, 0.5), at(0.6, 0.5)));
  CHECK(box.meets(at(-1, 0), at(1, 2)));  // over the corner 0, 1
  CHECK(box.meets(at(-1, 1), at(3, 1)));  // along an edge
  CHECK_FALSE(box.meets(at(-1, 1.1), at(3, 1.1)));
  CHECK_FALSE(box.meets(at(-2, 0.5), at(-1, 0.5)));
}

TEST_CASE("two bays share the longest stretch of their edges") {
  const SharedEdge s = shared_edge(rectangle(0, 0, 4, 3), rectangle(4, 1, 8, 5), m(0.01));
  CHECK(s.length.metres() == doctest::Approx(2));
  CHECK(s.middle.at.x.metres() == doctest::Approx(4));
  CHECK(s.middle.at.y.metres() == doctest::Approx(2));
  CHECK(shared_edge(rectangle(0, 0, 4, 3), rectangle(5, 0, 8, 3), m(0.01)).length.metres() == 0);
}
