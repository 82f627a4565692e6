#include "baseline/lengths.h"

#include <doctest/doctest.h>

#include <cmath>
#include <random>

#include "support/vector_file.h"
#include "ties.h"

using namespace deckmark_test;

namespace {

SdLength sdl(double value, double sd) { return {m(value), m(sd)}; }

}  // namespace

// Table in the domain notes on ISO 4463-1:1989, from memory: metres, primary mm, secondary mm, angles in
// seconds.
TEST_CASE("ISO 4463-1 limits") {
  struct Row {
    double l, primary, secondary, primary_angle, secondary_angle;
  };
  for (const Row& r : {Row{10, 4.0, 8.0, 51, 102}, Row{30, 4.1, 8.2, 30, 59}, Row{50, 5.3, 10.6, 23, 46},
                       Row{100, 7.5, 15.0, 16, 32}}) {
    CHECK(std::abs(setout_length_limit(SetOut::primary, m(r.l)).millimetres() - r.primary) <= 0.05);
    CHECK(std::abs(setout_length_limit(SetOut::secondary, m(r.l)).millimetres() - r.secondary) <= 0.05);
    CHECK(std::abs(setout_angle_limit(SetOut::primary, m(r.l)).arc_seconds() - r.primary_angle) <= 0.5);
    CHECK(std::abs(setout_angle_limit(SetOut::secondary, m(r.l)).arc_seconds() - r.secondary_angle) <= 0.5);
  }
}

// Tape corrections: source beside each row of tests/vectors/reference/levelling_tape_examples.csv, in feet
// and degrees F; 68 F = 20 C, and 6.45e-6 per F is our 11.6e-6 per C to 0.1 %.
TEST_CASE("published tape temperature corrections") {
  int met = 0;
  for (const auto& row : read_vectors("vectors/reference/levelling_tape_examples.csv")) {
    if (row.at("output") != "c_temp" && row.at("output") != "m_temp") continue;
    const auto in = split_inputs(row.at("inputs"));
    const double celsius = (std::stod(in.at("T")) - 32) / 1.8, standard = (std::stod(in.at("T0")) - 32) / 1.8;
    const double l = std::stod(in.at("L"));
    const double flat = horizontal({m(l), celsius, std::nullopt, std::nullopt}, standard)->metres();
    CAPTURE(row.at("id"));
    const double got = row.at("output") == "c_temp" ? flat - l : flat;
    CHECK(std::abs(got - std::stod(row.at("expected"))) <= std::stod(row.at("tol")));
    ++met;
  }
  CHECK(met == 2);
}

TEST_CASE("a taped length: temperature first, then slope, then against the drawing") {
  const LengthOptions options{
      .tape_standard = 20, .default_sd = mm(1.5), .setout = SetOut::secondary, .tolerance = std::nullopt};
  // 5 m along a rise of 3 m is 4 m flat.
  const auto flat =
      check_length(drawing(0, 0), drawing(4, 0), {m(5), std::nullopt, m(3), std::nullopt}, options);
  REQUIRE(flat.has_value());
  CHECK(flat->measured.metres() == doctest::Approx(4));
  CHECK(std::abs(flat->deviation.metres()) < 1e-12);
  CHECK(flat->by_slope.metres() == doctest::Approx(-1));
  CHECK(flat->sd == mm(1.5));
  // 30 m at 35 C: 30 x 11.6e-6 x 15 = 5.22 mm more.
  const auto warm = check_length(drawing(0, 0), drawing(0, 30), {m(30), 35.0, std::nullopt, mm(2)}, options);
  CHECK(warm->deviation.millimetres() == doctest::Approx(5.22).epsilon(1e-9));
  CHECK(warm->by_temperature.millimetres() == doctest::Approx(5.22).epsilon(1e-9));
  CHECK(warm->verdict == Verdict::within);  // 1.5 sqrt(30) = 8.2 mm
  CHECK(warm->sd == mm(2));
  LengthOptions tight = options;
  tight.tolerance = mm(5);
  const auto outside = check_length(drawing(0, 0), drawing(0, 30), {m(30), 35.0, std::nullopt, mm(2)}, tight);
  CHECK(outside->verdict == Verdict::outside);
  CHECK(outside->limit.source == LimitSource::job_tolerance);
  CHECK(outside->limit.iso.millimetres() == doctest::Approx(8.2158).epsilon(1e-4));
  // A rise not less than the length.
  CHECK_FALSE(check_length(drawing(0, 0), drawing(4, 0), {m(3), std::nullopt, m(3), std::nullopt}, options)
                  .has_value());
}

TEST_CASE("a printed dimension against the keyed points") {
  const Length sixteenth = Length::inches(1.0 / 16);
  CHECK(check_dimension(drawing(0, 0), drawing(3, 4), m(5), sixteenth).verdict == Verdict::within);
  CHECK(check_dimension(drawing(0, 0), drawing(3, 4), m(5) + sixteenth, sixteenth).verdict ==
        Verdict::within);
  const auto wrong = check_dimension(drawing(0, 0), drawing(3, 4), m(5.3048), sixteenth);
  CHECK(wrong.verdict == Verdict::outside);
  CHECK(wrong.deviation.metres() == doctest::Approx(-0.3048));
}

TEST_CASE("squareness by one diagonal") {
  // Multiples of 3-4-5 (Euclid I.47): square, with sd = 0.5893 s / k (derived in the domain notes).
  for (const double k : {1.0, 3.0}) {
    const auto r = corner_from_sides(sdl(3 * k, 0.0015), sdl(4 * k, 0.0015), sdl(5 * k, 0.0015), m(30),
                                     SetOut::secondary, std::nullopt);
    REQUIRE(r.possible);
    CHECK(r.included.degrees() == doctest::Approx(90).epsilon(1e-13));
    CHECK(r.sd.radians() == doctest::Approx(0.5893 * 0.0015 / k).epsilon(1e-3));
    // Over 30 m that is 26.5 mm and 8.8 mm (same notes): both too small a triangle for 8.6 mm permitted.
    CHECK(r.sd_over_baseline.millimetres() == doctest::Approx(k == 1 ? 26.5 : 8.84).epsilon(2e-3));
    CHECK(r.too_small);
    CHECK(r.verdict == Verdict::unsure);
  }
  const auto open = corner_from_sides(sdl(30, 0.001), sdl(40, 0.001), sdl(50.01, 0.001), m(30),
                                      SetOut::secondary, std::nullopt);
  // eps = (c^2 - a^2 - b^2) / 2ab = 1.0001 / 2400
  CHECK((open.included - Angle::degrees(90)).radians() == doctest::Approx(1.0001 / 2400).epsilon(1e-6));
  CHECK(open.verdict == Verdict::outside);
  CHECK_FALSE(open.too_small);
  CHECK_FALSE(
      corner_from_sides(sdl(3, 0.001), sdl(4, 0.001), sdl(7.5, 0.001), m(30), SetOut::secondary, std::nullopt)
          .possible);
}

TEST_CASE("the sd of a corner is what repeated taping scatters by") {
  std::mt19937 random(1);
  std::normal_distribution<double> normal;
  double sum = 0;
  const auto stated =
      corner_from_sides(sdl(6, 0.002), sdl(9, 0.001), sdl(11, 0.003), m(30), SetOut::secondary, std::nullopt);
  for (int k = 0; k < 10000; ++k) {
    const auto r =
        corner_from_sides(sdl(6 + 0.002 * normal(random), 0.002), sdl(9 + 0.001 * normal(random), 0.001),
                          sdl(11 + 0.003 * normal(random), 0.003), m(30), SetOut::secondary, std::nullopt);
    sum += std::pow((r.included - stated.included).radians() / stated.sd.radians(), 2);
  }
  CHECK(sum / 10000 > 0.957);  // three sds of sqrt(2 / 10000)
  CHECK(sum / 10000 < 1.043);
}

TEST_CASE("squareness by four sides and two diagonals") {
  const auto measure = [](double a, double b, double eps, double sd) {
    // Parallelogram with a skew of eps: d1^2 - d2^2 = 4 a b sin eps (domain notes).
    const double d1 = std::sqrt(a * a + b * b + 2 * a * b * std::sin(eps)),
                 d2 = std::sqrt(a * a + b * b - 2 * a * b * std::sin(eps));
    return std::vector{sdl(a, sd), sdl(b, sd), sdl(a, sd), sdl(b, sd), sdl(d1, sd), sdl(d2, sd)};
  };
  const auto r =
      corner_from_quadrilateral(measure(30, 20, 1e-4, 0.001), m(20), SetOut::secondary, std::nullopt);
  REQUIRE(r.solved);
  CHECK(r.diagonal_difference.millimetres() == doctest::Approx(3.328).epsilon(1e-3));
  // The longer diagonal leaves mark 1, so that the angle there is under 90 degrees.
  CHECK((r.included - Angle::degrees(90)).radians() == doctest::Approx(-1e-4).epsilon(1e-6));
  for (const Length v : r.residuals) CHECK(std::abs(v.metres()) < 1e-9);
  CHECK(r.verdict == Verdict::within);
  CHECK_FALSE(r.sides_unequal);

  // An isosceles trapezoid has equal diagonals and is no rectangle.
  const double top = 29, height = 20, side = std::hypot(0.5, height), diagonal = std::hypot(29.5, height);
  const auto trapezoid =
      corner_from_quadrilateral(std::vector{sdl(30, 0.001), sdl(side, 0.001), sdl(top, 0.001),
                                            sdl(side, 0.001), sdl(diagonal, 0.001), sdl(diagonal, 0.001)},
                                m(20), SetOut::secondary, std::nullopt);
  REQUIRE(trapezoid.solved);
  CHECK(trapezoid.sides_unequal);
  CHECK(trapezoid.diagonal_difference == m(0));
  CHECK(trapezoid.verdict == Verdict::outside);

  // One side read 50 mm wrong: the one redundancy shows it, and all six look alike in size.
  auto wrong = measure(30, 20, 0, 0.001);
  wrong[2].value += mm(50);
  const auto told = corner_from_quadrilateral(wrong, m(20), SetOut::secondary, std::nullopt);
  CHECK(told.variance_factor > 100);
}
