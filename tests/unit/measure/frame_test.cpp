// Frames, angles as quantities, ellipses; and what must not compile.

#include "measure/frame.h"

#include <doctest/doctest.h>

#include <cmath>
#include <concepts>
#include <limits>
#include <numbers>
#include <type_traits>

#include "measure/ellipse.h"
#include "measure/extent.h"

using namespace deckmark;

namespace {

template <class A, class B>
concept Addable = requires(A a, B b) {
  a + b;
};
template <class A, class B>
concept Subtractable = requires(A a, B b) {
  a - b;
};
template <class A, class B>
concept Comparable = requires(A a, B b) {
  a < b;
};
template <class A, class B>
concept Multipliable = requires(A a, B b) {
  a* b;
};

// No quantity is made from a bare number, nor becomes one.
static_assert(!std::convertible_to<double, Length> && !std::constructible_from<Length, double> &&
              !std::convertible_to<Length, double>);
static_assert(!std::convertible_to<double, Angle> && !std::constructible_from<Angle, double> &&
              !std::convertible_to<Angle, double>);
static_assert(!std::constructible_from<Azimuth, double> && !std::constructible_from<Azimuth, Angle> &&
              !std::constructible_from<Elevation, double>);
static_assert(!std::convertible_to<Length, Elevation> && !std::convertible_to<Elevation, Length>);
static_assert(!Addable<Length, double> && !Subtractable<Length, double> && !Comparable<Length, double> &&
              !Multipliable<Length, Length>);
static_assert(!Addable<Length, Angle> && !Addable<Elevation, Elevation> && !Addable<Azimuth, Azimuth> &&
              !Comparable<Azimuth, Azimuth>);
static_assert(!std::is_default_constructible_v<Length> && !std::is_default_constructible_v<Angle>);

// A point of one frame is not one of another, and no point is a difference.
static_assert(!std::is_default_constructible_v<Point<Site>> &&
              !std::is_default_constructible_v<Point<Drawing>>);
static_assert(!std::convertible_to<Point<Grid>, Point<Site>> &&
              !std::convertible_to<Point<Drawing>, Point<Site>> &&
              !std::convertible_to<Vec<Site>, Point<Site>>);
static_assert(!Addable<Point<Site>, Point<Site>> && !Addable<Point<Drawing>, Point<Drawing>> &&
              !Addable<Point<Site>, Vec<Grid>> && !Addable<Point<Drawing>, Vec<Site>>);
static_assert(!Subtractable<Point<Site>, Point<Grid>> && !Subtractable<Point<Drawing>, Point<Site>>);
template <class A, class B>
concept HasDistance = requires(A a, B b) {
  distance(a, b);
};
static_assert(HasDistance<Point<Site>, Point<Site>> && !HasDistance<Point<Site>, Point<Grid>>);
static_assert(!std::convertible_to<PlanCovariance<Drawing>, PlanCovariance<Site>>);
template <class V>
concept HasAzimuth = requires(V v) {
  azimuth_of(v);
};
// Site and grid each have a north of their own; the drawing has none.
static_assert(HasAzimuth<Vec<Site>> && HasAzimuth<Vec<Grid>> && !HasAzimuth<Vec<Drawing>>);

// What must compile.
static_assert(Addable<Point<Site>, Vec<Site>> && Subtractable<Point<Grid>, Point<Grid>> &&
              Addable<Azimuth, Angle> && Subtractable<Elevation, Elevation>);
static_assert(std::same_as<decltype(std::declval<Azimuth>() - std::declval<Azimuth>()), Angle>);
static_assert(std::same_as<decltype(std::declval<Elevation>() - std::declval<Elevation>()), Length>);
static_assert(
    std::same_as<decltype(std::declval<Point<Drawing>>() - std::declval<Point<Drawing>>()), Vec<Drawing>>);

// A million of them pass as plain bytes (design: 16 bytes, trivially copyable).
static_assert(sizeof(Point<Site>) == 16 && std::is_trivially_copyable_v<Point<Site>> &&
              std::is_trivially_copyable_v<Point<Drawing>>);

Vec<Site> vec(double northing, double easting) {
  return {{.northing = Length::metres(northing), .easting = Length::metres(easting)}};
}

}  // namespace

TEST_CASE("azimuth difference takes the short way round") {
  struct Row {
    double a, b, want;
  };  // degrees
  for (const Row& r : {Row{1, 359, 2}, Row{359, 1, -2}, Row{180, 0, 180}, Row{0, 180, 180}, Row{90, 90, 0},
                       Row{0, 359.75, 0.25}, Row{270, 90, 180}}) {
    CAPTURE(r.a);
    CAPTURE(r.b);
    CHECK((Azimuth::degrees(r.a) - Azimuth::degrees(r.b)).degrees() ==
          doctest::Approx(r.want).epsilon(1e-12));
  }
}

TEST_CASE("an azimuth lies from 0 to under 360") {
  struct Row {
    double v, want;
  };
  for (const Row& r : {Row{0, 0}, Row{360, 0}, Row{-10, 350}, Row{725, 5}, Row{-360, 0}, Row{-1e-20, 0},
                       Row{359.99999999999994, 359.99999999999994}, Row{-725, 355}}) {
    CAPTURE(r.v);
    const double d = Azimuth::degrees(r.v).degrees();
    CHECK(d == r.want);
    CHECK(!std::signbit(d));
  }
  CHECK((Azimuth::degrees(350) + Angle::degrees(20)).degrees() == doctest::Approx(10).epsilon(1e-15));
  CHECK((Azimuth::degrees(10) - Angle::degrees(20)).degrees() == doctest::Approx(350).epsilon(1e-15));
}

TEST_CASE("an angle is brought into (-180, 180]") {
  struct Row {
    double v, want;
  };
  for (const Row& r : {Row{0, 0}, Row{180, 180}, Row{-180, 180}, Row{540, 180}, Row{190, -170},
                       Row{-190, 170}, Row{720.5, 0.5}}) {
    CAPTURE(r.v);
    CHECK(wrapped(Angle::degrees(r.v)).degrees() == r.want);
  }
}

TEST_CASE("sines are exact at the quadrants") {
  struct Row {
    double v, sine, cosine;
  };
  for (const Row& r : {Row{0, 0, 1}, Row{90, 1, 0}, Row{180, 0, -1}, Row{270, -1, 0},
                       Row{30, 0.5, std::sqrt(0.75)}, Row{150, 0.5, -std::sqrt(0.75)}}) {
    CAPTURE(r.v);
    CHECK(std::abs(Azimuth::degrees(r.v).sine() - r.sine) <= (std::fmod(r.v, 90) == 0 ? 0.0 : 2e-16));
    CHECK(std::abs(Azimuth::degrees(r.v).cosine() - r.cosine) <= (std::fmod(r.v, 90) == 0 ? 0.0 : 2e-16));
  }
  CHECK(Angle::radians(std::numbers::pi / 2).degrees() == doctest::Approx(90).epsilon(1e-15));
  CHECK(Angle::gon(100).degrees() == 90);
  CHECK(Angle::degrees(180).radians() == std::numbers::pi);
}

TEST_CASE("azimuth of a difference is clockwise from north") {
  struct Row {
    double northing, easting, want;
  };
  for (const Row& r : {Row{1, 0, 0}, Row{0, 1, 90}, Row{-1, 0, 180}, Row{-1, -0.0, 180}, Row{0, -1, 270},
                       Row{1, 1, 45}, Row{1, -1, 315}, Row{-1, -1, 225}, Row{-1, 1, 135}}) {
    CAPTURE(r.northing);
    CAPTURE(r.easting);
    CHECK(azimuth_of(vec(r.northing, r.easting)).degrees() == r.want);
  }
}

TEST_CASE("points and differences") {
  const Point<Drawing> a{{.x = Length::metres(1), .y = Length::metres(2)}};
  const Point<Drawing> b{{.x = Length::metres(4), .y = Length::metres(6)}};
  CHECK(distance(a, b).metres() == 5);
  const Point<Drawing> c = a + (b - a);
  CHECK(c.at.x == b.at.x);
  CHECK(c.at.y == b.at.y);
  CHECK(norm(vec(-3, 4)).metres() == 5);
  CHECK((Elevation::metres(16.2) - Elevation::metres(12)).metres() == doctest::Approx(4.2));
  CHECK((Elevation::metres(12) + Length::metres(-1)).above_datum().metres() == 11);
}

// Closed form: a covariance built from semi-axes a > b turned by t has first = a^2 cos^2 t + b^2 sin^2 t,
// second = a^2 sin^2 t + b^2 cos^2 t, cross = (a^2 - b^2) sin t cos t.
TEST_CASE("error ellipses give back the axes they were built from") {
  struct Row {
    double a, b, t;
  };  // m, m, degrees
  for (const Row& r :
       {Row{0.004, 0.001, 0}, Row{0.004, 0.001, 30}, Row{0.004, 0.001, 90}, Row{0.004, 0.001, 135},
        Row{0.004, 0.001, 179}, Row{0.004, 1e-7, 77}, Row{3, 2.999, 12}}) {
    CAPTURE(r.a);
    CAPTURE(r.b);
    CAPTURE(r.t);
    const double sine = std::sin(r.t * std::numbers::pi / 180),
                 cosine = std::cos(r.t * std::numbers::pi / 180);
    const double a2 = r.a * r.a, b2 = r.b * r.b;
    const PlanCovariance<Site> c{a2 * cosine * cosine + b2 * sine * sine, (a2 - b2) * sine * cosine,
                                 a2 * sine * sine + b2 * cosine * cosine};
    const ErrorEllipse e = error_ellipse(c);
    CHECK(e.semi_major.metres() == doctest::Approx(r.a).epsilon(1e-14));
    // The entries are rounded to 1e-16 of a^2, which is what the smaller variance can be off by.
    CHECK(std::abs(e.semi_minor.metres() * e.semi_minor.metres() - b2) <= 5e-16 * a2);
    CHECK(std::abs((e.azimuth - Azimuth::degrees(r.t)).degrees()) <= 1e-11);
    CHECK(semi_major(c) == e.semi_major);
    CHECK(semi_major(PlanCovariance<Drawing>{c.first, c.cross, c.second}) == e.semi_major);
  }
}

TEST_CASE("degenerate ellipses") {
  const ErrorEllipse none = error_ellipse({0, 0, 0});
  CHECK(none.semi_major.metres() == 0);
  CHECK(none.semi_minor.metres() == 0);
  const ErrorEllipse circle = error_ellipse({4e-6, 0, 4e-6});
  CHECK(circle.semi_major.metres() == doctest::Approx(0.002));
  CHECK(circle.semi_minor.metres() == doctest::Approx(0.002));
  CHECK(circle.azimuth.degrees() == 0);
  const ErrorEllipse line = error_ellipse({1e-6, 1e-6, 1e-6});  // fully correlated
  CHECK(line.semi_minor.metres() == 0);
  CHECK(line.azimuth.degrees() == 45);
  CHECK(error_ellipse({1e-6, -1e-6, 1e-6}).azimuth.degrees() == 135);
  CHECK(error_ellipse({1e-6, 0, 4e-6}).azimuth.degrees() == 90);
  const PlanCovariance<Site> sum = PlanCovariance<Site>{1, 2, 3} + PlanCovariance<Site>{10, 20, 30};
  CHECK((sum.first == 11 && sum.cross == 22 && sum.second == 33));
}

TEST_CASE("the sd of an offset is taken along it, or the larger axis where the offset is smaller") {
  const PlanCovariance<Site> c{16e-6, 0, 1e-6};  // 4 mm along north, 1 mm along east
  CHECK(offset_sd(vec(0.010, 0), c).metres() == doctest::Approx(0.004));
  CHECK(offset_sd(vec(0, 0.010), c).metres() == doctest::Approx(0.001));
  CHECK(offset_sd(vec(0.010, 0.010), c).metres() == doctest::Approx(std::sqrt(8.5e-6)));
  CHECK(offset_sd(vec(0, 0.0039), c).metres() == doctest::Approx(0.004));
  CHECK(offset_sd(vec(0, 0), c).metres() == doctest::Approx(0.004));
  CHECK(offset_sd(vec(0, 0), {0, 0, 0}).metres() == 0);
  // Scale of the 95 % ellipse: chi-square with two degrees of freedom has the quantile -2 ln 0.05.
  CHECK(kEllipse95 == doctest::Approx(std::sqrt(-2 * std::log(0.05))).epsilon(1e-15));
}

TEST_CASE("how far points reach, and how far one lies beyond") {
  const auto at = [](double n, double e) {
    return Point<Site>{{.northing = Length::metres(n), .easting = Length::metres(e)}};
  };
  Extent<Site> extent;
  CHECK(extent.empty());
  for (const auto& p : {at(-3, 10), at(1, -20), at(0, 0)}) extent.take(p);
  CHECK_FALSE(extent.empty());
  CHECK(extent.least().at.northing.metres() == -3);
  CHECK(extent.least().at.easting.metres() == -20);
  CHECK(extent.most().at.northing.metres() == 1);
  CHECK(extent.most().at.easting.metres() == 10);
  CHECK(extent.diagonal().metres() == doctest::Approx(std::hypot(4, 30)));
  CHECK(extent.beyond(at(-3, 10)).metres() == 0);
  CHECK(extent.beyond(at(0, 3)).metres() == 0);
  CHECK(extent.beyond(at(4, 14)).metres() == 5);
  CHECK(extent.beyond(at(-13, 0)).metres() == 10);
  Extent<Drawing> one;
  one.take({{.x = Length::metres(5e6), .y = Length::metres(7)}});
  CHECK(one.diagonal().metres() == 0);
}
