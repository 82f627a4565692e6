// Ties that leave something open or fit two ways round: what is told, and that the tie it asks for settles
// it.
#include <doctest/doctest.h>

#include <cmath>
#include <string>

#include "baseline/squareness.h"
#include "ties.h"

using namespace deckmark_test;

namespace {

/// +X at azimuth 40 degrees, origin at E 5000, N 2000.
Tie found_at(std::optional<double> x, std::optional<double> y, double true_x, double true_y) {
  const double a = 40 * 3.14159265358979323846 / 180;
  return {x ? std::optional(m(*x)) : std::nullopt,
          y ? std::optional(m(*y)) : std::nullopt,
          site(5000 + true_x * std::sin(a) - true_y * std::cos(a),
               2000 + true_x * std::cos(a) + true_y * std::sin(a)),
          mm(1.5),
          mm(1.5),
          mm(5)};
}
Tie both(double x, double y) { return found_at(x, y, x, y); }
Tie x_only(double x, double y) { return found_at(x, std::nullopt, x, y); }
Tie y_only(double x, double y) { return found_at(std::nullopt, y, x, y); }

struct Open {
  bool rotation, along_x, along_y, scale;
};

void check_open(const std::vector<Tie>& set, const BaselineOptions& options, const Open& want,
                const char* cure) {
  const auto r = fit_baselines(set, options, {});
  REQUIRE(r.status == FitStatus::open);
  CHECK(r.open.rotation == want.rotation);
  CHECK(r.open.along_x == want.along_x);
  CHECK(r.open.along_y == want.along_y);
  CHECK(r.open.scale == want.scale);
  CHECK_FALSE(r.fit.has_value());
  const Fault f = refusal(r);
  CAPTURE(f.found);
  CAPTURE(f.suggestion);
  CHECK((f.found.find("rotation") != std::string::npos) == want.rotation);
  CHECK((f.found.find("origin along X") != std::string::npos) == want.along_x);
  CHECK((f.found.find("origin along Y") != std::string::npos) == want.along_y);
  CHECK((f.found.find("scale") != std::string::npos) == want.scale);
  CHECK(f.suggestion.find(cure) != std::string::npos);
}

}  // namespace

TEST_CASE("what ties leave open is named, with the tie that settles it") {
  SUBCASE("none") { check_open({}, kFixed, {true, true, true, false}, "a second tie"); }
  SUBCASE("one with both") { check_open({both(3, 4)}, kFixed, {true, false, false, false}, "a second tie"); }
  SUBCASE("one with x") { check_open({x_only(3, 4)}, kFixed, {true, false, true, false}, "a second tie"); }
  SUBCASE("x on two lines, no y") {
    check_open({x_only(0, 0), x_only(0, 30), x_only(20, 5)}, kFixed, {false, false, true, false}, "states y");
  }
  SUBCASE("y along the X baseline, no x") {
    check_open({y_only(0, 0), y_only(30, 0)}, kFixed, {false, true, false, false}, "states x");
  }
  SUBCASE("two coincident with both") {
    check_open({both(3, 4), both(3, 4)}, kFixed, {true, false, false, false}, "far");
  }
  SUBCASE("one x here and one y there") {
    check_open({x_only(3, 4), y_only(20, 15)}, kFixed, {true, false, false, false}, "far along");
  }
  SUBCASE("a distance along X alone does not fix the direction") {
    check_open({both(0, 0), x_only(100, 0)}, kFixed, {true, false, false, false}, "far along");
  }
  SUBCASE("scale: two lines of zeros have no length") {
    check_open({y_only(5, 0), y_only(30, 0), x_only(0, 5), x_only(0, 20)}, kFree, {false, false, false, true},
               "another x");
  }
  SUBCASE("scale and rotation together: one equation for both") {
    check_open({x_only(0, 0), x_only(40, 10), y_only(7, 9)}, kFree, {true, false, false, true}, "fixed");
  }
  SUBCASE("scale and rotation at one place") {
    check_open({both(3, 4), both(3, 4)}, kFree, {true, false, false, true}, "far");
  }
}

TEST_CASE("the tie that was asked for settles it") {
  CHECK(fit_baselines(std::vector{both(3, 4), both(20, 4)}, kFixed, {}).status == FitStatus::solved);
  CHECK(fit_baselines(std::vector{x_only(0, 0), x_only(0, 30), x_only(20, 5), y_only(3, 2)}, kFixed, {})
            .status == FitStatus::solved);
  CHECK(fit_baselines(std::vector{both(0, 0), x_only(100, 0), y_only(100, 0)}, kFixed, {}).status ==
        FitStatus::solved);
  CHECK(fit_baselines(std::vector{y_only(5, 0), y_only(30, 0), x_only(0, 5), x_only(0, 20), both(25, 15)},
                      kFree, {})
            .status == FitStatus::solved);
}

TEST_CASE("held baselines need two ties of their own") {
  const std::vector set{both(0, 0), x_only(0, 30), x_only(20, 25)};
  CHECK(fit_baselines(set, kFixed, {}).status == FitStatus::solved);
  BaselineOptions hold;
  hold.hold = Hold::y;  // the x-ties carry the direction: enough
  CHECK(fit_baselines(set, hold, {}).status == FitStatus::solved);
  hold.hold = Hold::x;  // one y-tie: not enough
  const auto r = fit_baselines(set, hold, {});
  REQUIRE(r.status == FitStatus::open);
  CHECK(r.open.rotation);
  CHECK(refusal(r).found.find("hold = \"x\"") != std::string::npos);
  CHECK(refusal(r).suggestion.find("states y well along X") != std::string::npos);
}

TEST_CASE("two lines fit two ways round") {
  const std::vector lines{y_only(5, 0), y_only(30, 0), x_only(0, 5), x_only(0, 20)};
  const auto r = fit_baselines(lines, kFixed, {});
  REQUIRE(r.status == FitStatus::two_fits);
  REQUIRE(r.azimuths.size() == 2);
  const double first = std::min(r.azimuths[0].degrees(), r.azimuths[1].degrees());
  CHECK(first == doctest::Approx(40).epsilon(1e-9));
  CHECK(std::abs((r.azimuths[0] - r.azimuths[1]).degrees()) == doctest::Approx(180).epsilon(1e-9));
  const Fault f = refusal(r);
  CHECK(f.found.find("40-00-00") != std::string::npos);
  CHECK(f.found.find("220-00-00") != std::string::npos);
  CHECK(f.suggestion.find("azimuth_near") != std::string::npos);
  CHECK(f.suggestion.find("another x") != std::string::npos);

  for (const double near : {40.0, 99.9, 340.1}) {
    BaselineOptions options;
    options.azimuth_near = Azimuth::degrees(near);
    const auto settled = fit_baselines(lines, options, {});
    REQUIRE(settled.status == FitStatus::solved);
    CHECK(settled.fit->site_from_drawing.parts().azimuth_x.degrees() == doctest::Approx(40).epsilon(1e-9));
    CHECK(has(settled, DoubtKind::mirroring_not_checked));
  }
  BaselineOptions far;
  far.azimuth_near = Azimuth::degrees(130);
  const auto refused = fit_baselines(lines, far, {});
  REQUIRE(refused.status == FitStatus::azimuth_refused);
  CHECK(refusal(refused).found.find("130-00-00") != std::string::npos);
  CHECK(refusal(refused).expected.find("220-00-00") != std::string::npos);
}

TEST_CASE("a paced tie settles the direction, not the hand") {
  Tie paced = x_only(24.3, 0);
  paced.x = m(25);
  paced.sd_x = m(0.5);
  paced.tolerance = m(1.5);
  const std::vector lines{y_only(5, 0), y_only(30, 0), x_only(0, 5), x_only(0, 20), paced};
  const auto r = fit_baselines(lines, kFixed, {});
  REQUIRE(r.status == FitStatus::solved);
  CHECK(std::abs(r.fit->site_from_drawing.parts().azimuth_x.degrees() - 40) < 0.01);
  CHECK(has(r, DoubtKind::mirroring_not_checked));
}

TEST_CASE("a second fit a little worse than the best is still refused, one clearly worse is not") {
  // A tie paced with sd p at x = 10: turned by 180 degrees it misfits by 20 m, a square sum of (20 / p)^2.
  for (const auto& [sd, two] : {std::pair{4.1, true}, {3.9, false}}) {
    Tie paced = x_only(10, 0);
    paced.sd_x = m(sd);
    const std::vector lines{y_only(5, 0), y_only(30, 0), x_only(0, 5), x_only(0, 20), paced};
    CHECK((fit_baselines(lines, kFixed, {}).status == FitStatus::two_fits) == two);
  }
}

TEST_CASE("a distance that is too short leaves two directions that azimuth_near cannot tell apart") {
  // x = 100 stated over a found distance of 100.5 m: +X turns 5.7 degrees to one side or to the other.
  const std::vector set{both(0, 0), found_at(100.0, std::nullopt, 100.5, 0)};
  const auto r = fit_baselines(set, kFixed, {});
  REQUIRE(r.status == FitStatus::two_fits);
  CHECK(std::abs((r.azimuths[0] - r.azimuths[1]).degrees()) == doctest::Approx(2 * 5.717).epsilon(1e-3));
  CHECK(refusal(r).suggestion.find("azimuth_near") == std::string::npos);
  BaselineOptions near;
  near.azimuth_near = Azimuth::degrees(40);
  CHECK(fit_baselines(set, near, {}).status == FitStatus::two_fits);
}

TEST_CASE("azimuth_near that contradicts the only fit is refused") {
  BaselineOptions options;
  options.azimuth_near = Azimuth::degrees(101);
  CHECK(fit_baselines(std::vector{both(0, 0), both(30, 0)}, options, {}).status ==
        FitStatus::azimuth_refused);
  options.azimuth_near = Azimuth::degrees(99.9);
  CHECK(fit_baselines(std::vector{both(0, 0), both(30, 0)}, options, {}).status == FitStatus::solved);
}

TEST_CASE("nearly on one line: solved, and the far hanger's sd is told") {
  const std::vector<Point<Drawing>> mapped{drawing(0, 0), drawing(0.1, 60), drawing(5, 5)};
  const auto r = fit_baselines(std::vector{both(0, 0), both(1.5, 0.01)}, kFixed, mapped);
  REQUIRE(r.status == FitStatus::solved);
  REQUIRE(find(r, DoubtKind::nearly_open) != nullptr);
  CHECK(find(r, DoubtKind::nearly_open)->index == 1);
  CHECK(find(r, DoubtKind::nearly_open)->value > 0.06);
}

// Rows base-01 and base-02 of tests/cases/cases.csv, as ties on the two lines.
TEST_CASE("two lines that are parallel, and a line without length, are named") {
  const auto none = std::nullopt;
  const auto parallel = fit_baselines(
      ties({{none, 0, 0, 0}, {none, 0, 100, 0}, {0, none, 0, 20}, {0, none, 100, 20}}), kFixed, {});
  REQUIRE(parallel.status == FitStatus::open);
  CHECK(parallel.open.parallel);
  CHECK(refusal(parallel).found.find("parallel") != std::string::npos);
  const auto point = fit_baselines(
      ties({{none, 0, 10, 10}, {none, 0, 10, 10}, {0, none, 10, 10}, {0, none, 10, 40}}), kFixed, {});
  REQUIRE(point.status == FitStatus::open);
  CHECK(point.open.no_length == Hold::x);
  CHECK(refusal(point).found.find("X baseline has no length") != std::string::npos);
}

// Row base-04: 89-59-30 over 60 m.
TEST_CASE("lines not quite square are taken, and differ by 8.7 mm at 60 m") {
  const double a = (90 - 0.5 / 60) * 3.14159265358979323846 / 180;
  const auto none = std::nullopt;
  BaselineOptions options;
  options.azimuth_near = Azimuth::degrees(90);
  const std::vector<Point<Drawing>> mapped{drawing(10, 10), drawing(0, 60)};
  const auto set = ties(
      {{none, 0, 0, 0}, {none, 0, 60, 0}, {0, none, 0, 0}, {0, none, 60 * std::cos(a), 60 * std::sin(a)}});
  const auto r = fit_baselines(set, options, mapped);
  REQUIRE(r.status == FitStatus::solved);
  const auto s = squareness(set, r, mapped, {});
  CHECK(s.included->degrees() == doctest::Approx(90 - 0.5 / 60).epsilon(1e-9));
  // Each line is turned by half of it about the middle of its marks; (0, 60) is 30 m from both middles: 2.18
  // mm along either axis.
  CHECK(s.worst == 1u);
  CHECK(s.at_worst->millimetres() ==
        doctest::Approx(30 * 0.25 / 60 * 3.14159265358979323846 / 180 * 1e3 * std::sqrt(2.0)).epsilon(1e-3));
  // Held one way or the other the directions differ by the whole, each origin taking the mean of its own
  // marks.
  options.hold = Hold::x;
  const auto x = fit_baselines(set, options, {});
  options.hold = Hold::y;
  const auto y = fit_baselines(set, options, {});
  const auto azimuth = [](const BaselineResult& b) { return b.fit->site_from_drawing.parts().azimuth_x; };
  CHECK((azimuth(x) - azimuth(y)).degrees() == doctest::Approx(-0.5 / 60).epsilon(1e-6));
}
