// Supports of random trapezes are clear, and nothing nearer on their line is.
#include <doctest/doctest.h>

#include "hanger/trapeze.h"
#include "hanger_support.h"

using namespace hanger_test;

TEST_CASE("supports are the first clear places on either side") {
  std::mt19937_64 random(1);
  std::size_t bridged = 0;
  for (int i = 0; i < 3000; ++i) {
    std::vector<Obstruction> ducts;
    for (int k = 0; k < 3; ++k) {
      const double x = uniform(random, 0, 6), y = uniform(random, 0, 6);
      ducts.push_back({rectangle(x, y, x + uniform(random, 0.3, 5), y + uniform(random, 0.3, 1.2)),
                       m(uniform(random, 0, 0.3))});
    }
    const Point<Drawing> p = at(uniform(random, 0, 9), uniform(random, 0, 7));
    const auto blocked = [&](const Point<Drawing>& q) {
      return std::any_of(ducts.begin(), ducts.end(),
                         [&](const Obstruction& o) { return o.outline.blocks(q, o.clearance); });
    };
    const auto t = bridge(p, ducts, {}, {});
    CHECK(t.has_value() == blocked(p));
    if (!t) continue;
    ++bridged;
    REQUIRE(t->supports);
    for (const Point<Drawing>& s : {t->supports->first, t->supports->second}) {
      CHECK_FALSE(blocked(s));
      for (int k = 0; k < 50; ++k) {
        const double share = k / 50.0 * 0.999;
        const Point<Drawing> q = p + Vec<Drawing>{{.x = share * (s - p).by.x, .y = share * (s - p).by.y}};
        // Two clearances that touch leave one clear place between them: only blocked stretches count here.
        if (!blocked(q)) FAIL_CHECK("clear before the support");
      }
    }
    CHECK(distance(t->supports->first, t->supports->second).metres() == doctest::Approx(t->span.metres()));
    CHECK((distance(t->supports->first, p) + distance(t->supports->second, p)).metres() ==
          doctest::Approx(t->span.metres()));
  }
  CHECK(bridged > 400);
}
