// Published similarity examples; sources and tolerances in tests/vectors/reference/helmert2d_examples.csv.
#include <doctest/doctest.h>

#include <cmath>
#include <numbers>
#include <random>

#include "support/vector_file.h"
#include "transform/transform.h"

using namespace deckmark;

namespace {

using Inputs = std::map<std::string, std::string>;
Length m(double v) { return Length::metres(v); }
Point<Drawing> drawing(double x, double y) { return {{.x = m(x), .y = m(y)}}; }
Point<Site> site(double northing, double easting) {
  return {{.northing = m(northing), .easting = m(easting)}};
}

/// The published form is X' = X0 + M (X cos t + Y sin t), Y' = Y0 + M (Y cos t - X sin t). Ours has
/// E = E0 + s (x sin A - y cos A), N = N0 + s (x cos A + y sin A): the same with s = M and A = 90 degrees +
/// t.
Transform<Site, Drawing> published(const Inputs& in) {
  const auto of = [&](const char* key) { return std::stod(in.at(key)); };
  return claim({.drawing_centre = drawing(0, 0),
                .site_centre = site(of("y0"), of("x0")),
                .azimuth_x = Azimuth::degrees(90 + of("theta_sec") / 3600),
                .scale = of("M"),
                .mirrored = false});
}

double computed(const std::string& calc, const std::string& output, const Inputs& in) {
  const auto of = [&](const char* key) { return std::stod(in.at(key)); };
  if (output == "theta_rad") return of("theta_sec") / 3600 * std::numbers::pi / 180;
  const auto site_from_drawing = published(in);
  if (calc == "sim_forward") {
    const auto p = site_from_drawing(drawing(of("xs"), of("ys")));
    return output == "xt" ? p.at.easting.metres() : p.at.northing.metres();
  }
  const auto drawing_from_site = site_from_drawing.inverse();
  if (calc == "sim_inverse") {
    const auto p = drawing_from_site(site(of("yt"), of("xt")));
    return output == "xs" ? p.at.x.metres() : p.at.y.metres();
  }
  // Reversed parameters: where the old origin comes to lie, one over the scale, the turn the other way.
  if (output == "x0p") return drawing_from_site(site(0, 0)).at.x.metres();
  if (output == "y0p") return drawing_from_site(site(0, 0)).at.y.metres();
  if (output == "Mp") return 1 / site_from_drawing.parts().scale;
  return -of("theta_sec") / 3600 * std::numbers::pi / 180;
}

}  // namespace

TEST_CASE("published similarity transforms, forward, inverse and reversed") {
  int met = 0;
  for (const auto& row : deckmark_test::read_vectors("vectors/reference/helmert2d_examples.csv")) {
    const std::string& calc = row.at("calc");
    if (!calc.starts_with("sim_")) continue;
    CAPTURE(row.at("id"));
    CAPTURE(row.at("output"));
    const double got = computed(calc, row.at("output"), deckmark_test::split_inputs(row.at("inputs")));
    CHECK(std::abs(got - std::stod(row.at("expected"))) <= std::stod(row.at("tol")));
    ++met;
  }
  CHECK(met == 25);
}

TEST_CASE("axes lie where the words say") {
  // +X due north: the Y baseline, counter-clockwise of it, points west.
  const auto north = claim({drawing(0, 0), site(100, 200), Azimuth::degrees(0), 1, false});
  CHECK(north(drawing(3, 0)).at.northing == m(103));
  CHECK(north(drawing(3, 0)).at.easting == m(200));
  CHECK(north(drawing(0, 4)).at.northing == m(100));
  CHECK(north(drawing(0, 4)).at.easting == m(196));
  const auto mirrored = claim({drawing(0, 0), site(100, 200), Azimuth::degrees(0), 1, true});
  CHECK(mirrored(drawing(0, 4)).at.easting == m(204));
  // Without ties: E = x, N = y, and N = -y for a mirrored drawing; exact.
  CHECK(drawing_is_site(false)(drawing(5, 7)).at.easting == m(5));
  CHECK(drawing_is_site(false)(drawing(5, 7)).at.northing == m(7));
  CHECK(drawing_is_site(true)(drawing(5, 7)).at.easting == m(5));
  CHECK(drawing_is_site(true)(drawing(5, 7)).at.northing == m(-7));
}

TEST_CASE("inverse and turn are right for every hand, scale and azimuth") {
  std::mt19937 random(1);
  std::uniform_real_distribution<double> place(-200, 200), azimuth(0, 360), scale(0.5, 2);
  for (int trial = 0; trial < 400; ++trial) {
    const bool mirrored = trial % 2 == 1;
    const auto t =
        claim({drawing(place(random), place(random)), site(5e6 + place(random), 4e5 + place(random)),
               Azimuth::degrees(azimuth(random)), scale(random), mirrored});
    const auto p = drawing(place(random), place(random)), q = drawing(place(random), place(random));
    const auto back = t.inverse()(t(p));
    // A northing of 5,000,000 m has a last place of 1e-9 m.
    CHECK(std::abs((back.at.x - p.at.x).metres()) < 4e-9);
    CHECK(std::abs((back.at.y - p.at.y).metres()) < 4e-9);
    CHECK(distance(t(p), t(q)).metres() ==
          doctest::Approx(distance(p, q).metres() * t.parts().scale).epsilon(1e-10));
    // Turning keeps lengths, and agrees with mapping but for the scale.
    const Vec<Site> turned = t.turn(q - p), mapped = t(q) - t(p);
    CHECK(std::abs(turned.by.northing.metres() * t.parts().scale - mapped.by.northing.metres()) < 4e-9);
    CHECK(std::abs(turned.by.easting.metres() * t.parts().scale - mapped.by.easting.metres()) < 4e-9);
    const Vec<Drawing> again = t.inverse().turn(turned);
    CHECK(std::abs((again.by.x - (q - p).by.x).metres()) < 1e-12);
    CHECK(std::abs((again.by.y - (q - p).by.y).metres()) < 1e-12);
  }
}

TEST_CASE("covariance of a mapped point is that of small changes of the parts") {
  std::mt19937 random(1);
  std::uniform_real_distribution<double> place(-50, 50), azimuth(0, 360);
  std::normal_distribution<double> normal;
  for (int trial = 0; trial < 20; ++trial) {
    const SimilarityParts parts{drawing(place(random), place(random)), site(place(random), place(random)),
                                Azimuth::degrees(azimuth(random)), 1.25, trial % 2 == 1};
    FittedTransform fit{claim(parts), {}};
    double root[4][4];
    for (auto& row : root)
      for (double& v : row) v = 1e-6 * normal(random);
    for (std::size_t i = 0; i < 4; ++i)
      for (std::size_t j = 0; j < 4; ++j)
        for (std::size_t k = 0; k < 4; ++k) fit.covariance[i][j] += root[i][k] * root[j][k];
    const auto p = drawing(place(random), place(random));
    // Each column of the root is one small change of all four parts; the sum of squares of what it moves is
    // the covariance. Changes of 1e-6 over 50 m leave second-order terms of 1e-10 m, 1e-6 of the whole.
    double nn = 0, ne = 0, ee = 0;
    for (std::size_t k = 0; k < 4; ++k) {
      SimilarityParts moved = parts;
      moved.site_centre.at.easting += m(root[0][k]);
      moved.site_centre.at.northing += m(root[1][k]);
      moved.azimuth_x = parts.azimuth_x + Angle::radians(root[2][k]);
      moved.scale += root[3][k];
      const Vec<Site> d = claim(moved)(p) - claim(parts)(p);
      nn += d.by.northing.metres() * d.by.northing.metres();
      ne += d.by.northing.metres() * d.by.easting.metres();
      ee += d.by.easting.metres() * d.by.easting.metres();
    }
    const PlanCovariance<Site> c = fit.covariance_at(p);
    CHECK(c.first == doctest::Approx(nn).epsilon(1e-5));
    CHECK(c.second == doctest::Approx(ee).epsilon(1e-5));
    CHECK(std::abs(c.cross - ne) < 1e-5 * std::sqrt(nn * ee));
  }
}
