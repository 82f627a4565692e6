#include "baseline/squareness.h"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "ties.h"

using namespace deckmark_test;

namespace {

constexpr double kDegree = 3.14159265358979323846 / 180;

/// Marks on two lines that cross at `included` degrees; +X at `azimuth`, the Y baseline on its left (right:
/// mirrored).
std::vector<Tie> crossing_lines(double azimuth, double included, double length_x, double length_y,
                                bool mirrored, double scale = 1) {
  std::vector<Tie> out;
  const double ax = azimuth * kDegree, ay = (azimuth + (mirrored ? included : -included)) * kDegree;
  for (const double d : {0.0, 0.5, 1.0}) {
    const double x = d * length_x, y = d * length_y;
    out.push_back({std::nullopt, m(0), site(700 + scale * x * std::sin(ax), 300 + scale * x * std::cos(ax)),
                   mm(1.5), mm(1.5), mm(5)});
    out.push_back({m(0), std::nullopt, site(700 + scale * y * std::sin(ay), 300 + scale * y * std::cos(ay)),
                   mm(1.5), mm(1.5), mm(5)});
  }
  return out;
}

BaselineResult fitted(const std::vector<Tie>& set, double azimuth, bool mirrored) {
  BaselineOptions options;
  options.mirrored = mirrored;
  options.azimuth_near = Azimuth::degrees(azimuth);
  return fit_baselines(set, options, {});
}

}  // namespace

TEST_CASE("the included angle has its sign and its sd") {
  const std::vector<Point<Drawing>> mapped{drawing(2, 3), drawing(28, 21), drawing(5, 5)};
  for (const bool mirrored : {false, true}) {
    for (const double off : {0.02, -0.03}) {
      CAPTURE(mirrored);
      CAPTURE(off);
      const auto set = crossing_lines(130, 90 + off, 30, 20, mirrored);
      const auto fit = fitted(set, 130, mirrored);
      REQUIRE(fit.status == FitStatus::solved);
      const auto s = squareness(set, fit, mapped, {});
      REQUIRE(s.included.has_value());
      CHECK(s.included->degrees() == doctest::Approx(90 + off).epsilon(1e-11));
      // Three marks at the ends and the middle of a length L: sd of the direction = sd / (L / sqrt 2).
      const double sd = 0.0015 * std::sqrt(2.0) * std::hypot(1 / 30.0, 1 / 20.0);
      CHECK(s.sd->radians() == doctest::Approx(sd).epsilon(1e-5));
      CHECK(s.shorter.metres() == doctest::Approx(20).epsilon(1e-3));
      CHECK(s.shorter_axis == TieAxis::y);
      CHECK(s.deviation_over->metres() == doctest::Approx(20 * off * kDegree).epsilon(1e-3));
      CHECK(s.sd_over->metres() == doctest::Approx(20 * sd).epsilon(1e-3));
      // ISO 4463-1 secondary (from memory): 0.09 / sqrt(20) degrees over 20 m is 7.02 mm, and 0.02
      // degrees 6.98 mm.
      CHECK(s.limit.permitted.millimetres() == doctest::Approx(7.02).epsilon(2e-3));
      CHECK(s.verdict == (off > 0 ? Verdict::within : Verdict::outside));
    }
  }
}

// 2026-11-27: the angle times the distance from the crossing was told as what moves there. Truth: the marks
// lie without noise on two lines, so the place of a drawing point by each baseline on its own is known:
// square distances x and y from the lines.
TEST_CASE(
    "what a want of squareness moves is the difference between the fit in use and each baseline alone") {
  struct Case {
    bool mirrored;
    Hold hold;
    double off, scale;
  };
  for (const Case& c : {Case{false, Hold::both, 0.02, 1}, Case{true, Hold::both, -0.03, 1},
                        Case{false, Hold::x, 0.05, 1}, Case{true, Hold::y, 0.05, 1},
                        Case{false, Hold::both, 0.4, 1}, Case{false, Hold::both, 0.05, 1.0005}}) {
    CAPTURE(c.mirrored);
    CAPTURE(c.off);
    CAPTURE(static_cast<int>(c.hold));
    const double azimuth = 130, included = 90 + c.off;
    auto set = crossing_lines(azimuth, included, 30, 20, c.mirrored);
    BaselineOptions options;
    options.mirrored = c.mirrored;
    options.hold = c.hold;
    options.azimuth_near = Azimuth::degrees(azimuth);
    auto fit = fit_baselines(set, options, {});
    REQUIRE(fit.status == FitStatus::solved);
    if (c.scale != 1) {  // all of it grown about the crossing
      set = crossing_lines(azimuth, included, 30, 20, c.mirrored, c.scale);
      SimilarityParts parts = fit.fit->site_from_drawing.parts();
      const Vec<Site> v = parts.site_centre - site(700, 300);
      parts.site_centre = site(700 + c.scale * v.by.easting.metres(), 300 + c.scale * v.by.northing.metres());
      parts.scale = c.scale;
      fit.fit->site_from_drawing = claim(parts);
      fit.options.scale_free = true;
    }
    const double scale = c.scale;
    const std::vector<Point<Drawing>> mapped{drawing(2, 3), drawing(28, 21), drawing(60, 1), drawing(-5, 25),
                                             drawing(12, 8)};
    std::size_t worst = 0;
    double most = -1;
    for (std::size_t i = 0; i < mapped.size(); ++i) {
      // origin + a u + b v with a sin(included) = x, b sin(included) = y.
      const double ax = azimuth * kDegree, ay = (azimuth + (c.mirrored ? included : -included)) * kDegree;
      const double sine = std::sin(included * kDegree);
      const double a = scale * mapped[i].at.x.metres() / sine, b = scale * mapped[i].at.y.metres() / sine;
      const Point<Site> own =
          site(700 + a * std::sin(ax) + b * std::sin(ay), 300 + a * std::cos(ax) + b * std::cos(ay));
      const double moves = distance(fit.fit->site_from_drawing(mapped[i]), own).metres();
      const auto alone = squareness(set, fit, {&mapped[i], 1}, {});
      CHECK(alone.at_worst->metres() == doctest::Approx(moves).epsilon(1e-6));
      if (moves > most) most = moves, worst = i;
    }
    const auto s = squareness(set, fit, mapped, {});
    CHECK(*s.worst == worst);
    CHECK(s.at_worst->metres() == doctest::Approx(most).epsilon(1e-6));
  }
}

TEST_CASE("a tolerance of the job decides where it is tighter, and an sd above the limit decides nothing") {
  const auto set = crossing_lines(10, 90.02, 30, 20, false);
  const auto fit = fitted(set, 10, false);
  const auto tight = squareness(set, fit, {}, {.setout = SetOut::secondary, .tolerance = mm(5)});
  CHECK(tight.limit.source == LimitSource::job_tolerance);
  CHECK(tight.verdict == Verdict::outside);
  const auto loose = squareness(set, fit, {}, {.setout = SetOut::secondary, .tolerance = mm(50)});
  CHECK(loose.limit.source == LimitSource::iso_secondary);
  CHECK(loose.verdict == Verdict::within);
  CHECK(squareness(set, fit, {}, {.setout = SetOut::primary, .tolerance = std::nullopt}).verdict ==
        Verdict::outside);
  const auto hair = squareness(set, fit, {}, {.setout = SetOut::secondary, .tolerance = mm(2)});
  CHECK(hair.verdict == Verdict::unsure);  // its sd over 20 m is 2.5 mm
}

TEST_CASE("one mark of a family leaves its direction open") {
  auto set = crossing_lines(10, 90, 30, 20, false);
  for (int i = 0; i < 2; ++i) set.erase(set.begin() + 3 - 2 * i);  // one x-tie is left
  const auto fit = fitted(set, 10, false);
  REQUIRE(fit.status == FitStatus::solved);
  const auto s = squareness(set, fit, {}, {});
  CHECK(s.y_open);
  CHECK_FALSE(s.x_open);
  CHECK_FALSE(s.included.has_value());
  CHECK(s.verdict == Verdict::unsure);
}

TEST_CASE("a freed scale is taken out first") {
  auto set = crossing_lines(10, 90.02, 30, 20, false, 1.0005);
  // Two sharp ties on the X baseline fix the scale, so that little of the skew leaks into it.
  for (const double x : {0.0, 30.0}) {
    const double a = 10 * kDegree;
    set.push_back({m(x), m(0), site(700 + 1.0005 * x * std::sin(a), 300 + 1.0005 * x * std::cos(a)), mm(0.05),
                   mm(0.05), mm(5)});
  }
  const auto fit = fit_baselines(set, kFree, {});
  REQUIRE(fit.status == FitStatus::solved);
  const auto s = squareness(set, fit, {}, {});
  REQUIRE(s.included.has_value());
  CHECK(s.included->degrees() == doctest::Approx(90.02).epsilon(1e-6));
  CHECK(s.shorter.metres() == doctest::Approx(20).epsilon(1e-5));
}

TEST_CASE("the stated sd of the angle is what repeated jobs scatter by") {
  std::mt19937 random(1);
  std::normal_distribution<double> noise(0, 0.0015);
  double sum = 0;
  const int trials = 4000;
  for (int k = 0; k < trials; ++k) {
    auto set = crossing_lines(77, 90, 30, 20, false);
    for (Tie& t : set)
      t.at = {
          {.northing = t.at.at.northing + m(noise(random)), .easting = t.at.at.easting + m(noise(random))}};
    const auto fit = fitted(set, 77, false);
    REQUIRE(fit.status == FitStatus::solved);
    const auto s = squareness(set, fit, {}, {});
    sum += std::pow(s.deviation->radians() / s.sd->radians(), 2);
  }
  // Mean of 4,000 squares of a standard normal: 1 with sd sqrt(2 / 4000) = 0.022; the band is three of them.
  CHECK(sum / trials > 0.933);
  CHECK(sum / trials < 1.067);
}
