#include "hanger/trapeze.h"

#include <doctest/doctest.h>

#include "hanger_support.h"

using namespace hanger_test;

TEST_CASE("supports stand across the narrower way, at the clearance itself") {
  const std::vector<Obstruction> ducts{{rectangle(0, 2, 8, 2.6), m(0.1)}};
  CHECK_FALSE(bridge(at(3, 1.9), ducts, {}, {}));
  const auto t = bridge(at(3, 2.2), ducts, {}, {});
  REQUIRE(t);
  REQUIRE(t->supports);
  CHECK(t->obstruction == 0);
  CHECK(t->supports->first.at.x.metres() == doctest::Approx(3));
  CHECK(t->supports->first.at.y.metres() == doctest::Approx(1.9));
  CHECK(t->supports->second.at.y.metres() == doctest::Approx(2.7));
  CHECK(t->span.metres() == doctest::Approx(0.8));
  CHECK(t->needed.metres() == doctest::Approx(0.5));
  // Within the clearance only, beside the duct: across it all the same.
  CHECK(bridge(at(3, 2.65), ducts, {}, {})->span.metres() == doctest::Approx(0.8));
}

TEST_CASE("supports pass over a second duct and keep off joints; reach ends the search") {
  std::vector<Obstruction> ducts{{rectangle(0, 2, 8, 2.6), m(0.1)}, {rectangle(2, 2.75, 4, 3.05), m(0.1)}};
  auto t = bridge(at(3, 2.2), ducts, {}, {});
  CHECK(t->supports->second.at.y.metres() == doctest::Approx(3.15));
  const std::vector<KeepOff> joints{{at(3, 1.95), m(0.15)}};
  t = bridge(at(3, 2.2), ducts, joints, {});
  CHECK(t->supports->first.at.y.metres() == doctest::Approx(1.8));
  t = bridge(at(3, 2.2), ducts, {}, {m(0.9)});
  CHECK_FALSE(t->supports);
  CHECK(t->needed.metres() == doctest::Approx(0.95));
  CHECK(bridge(at(3, 2.2), ducts, {}, {m(0.95)})->supports);
}

TEST_CASE("a lower x is support a, then a lower y") {
  const std::vector<Obstruction> duct{{rectangle(2, 0, 2.6, 8), m(0)}};
  const auto t = bridge(at(2.5, 3), duct, {}, {});
  CHECK(t->supports->first.at.x.metres() == doctest::Approx(2));
  CHECK(t->supports->second.at.x.metres() == doctest::Approx(2.6));
}
