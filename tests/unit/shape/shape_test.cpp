#include "shape/shape.h"

#include <doctest/doctest.h>

#include <cmath>
#include <cstdint>
#include <numbers>
#include <optional>
#include <string>
#include <vector>

using namespace deckmark;

namespace {

/// A drawing by runs; lengths in metres.
struct Drawn {
  std::vector<Point<Drawing>> places{};
  std::vector<std::uint32_t> points{}, begins{0};
  OptionalLengths heights{};
  std::vector<ShapeLine> lines{};
  LengthUnit unit = LengthUnit::metre;

  Drawn& run(const std::vector<std::pair<double, double>>& row) {
    for (const auto& [x, y] : row) {
      points.push_back(static_cast<std::uint32_t>(places.size()));
      places.push_back({{.x = Length::metres(x), .y = Length::metres(y)}});
    }
    begins.push_back(static_cast<std::uint32_t>(points.size()));
    return *this;
  }
  /// A run along x.
  Drawn& row(double y, const std::vector<double>& stations) {
    std::vector<std::pair<double, double>> all;
    for (const double x : stations) all.push_back({x, y});
    return run(all);
  }
  ShapeLook look() const { return look_at_shape({places, points, begins, heights, lines, unit}); }
  std::vector<ShapeBreak> breaks() const { return look().breaks; }
};

std::vector<double> even(double from, double step, int n) {
  std::vector<double> out;
  for (int k = 0; k < n; ++k) out.push_back(from + k * step);
  return out;
}

Drawn ring(int n, double radius) {
  Drawn d;
  std::vector<std::pair<double, double>> all;
  for (int k = 0; k < n; ++k) {
    const double a = 2 * std::numbers::pi * k / n;
    all.push_back({std::round((5 + radius * std::cos(a)) * 1000) / 1000,
                   std::round((6 + radius * std::sin(a)) * 1000) / 1000});
  }
  return d.run(all);
}

void check_place(const ShapeBreak& b, double x, double y) {
  CHECK(b.expected.at.x.metres() == doctest::Approx(x).epsilon(1e-9));
  CHECK(b.expected.at.y.metres() == doctest::Approx(y).epsilon(1e-9));
}

}  // namespace

TEST_CASE("one coordinate of a row of eight: which pattern it breaks, where it belongs, and the slip") {
  struct Row {
    std::uint32_t point;
    double x, y;  // as keyed
    ShapeWhy why;
    std::optional<MendKind> mend;
  };
  // 1.200, 2.400, ... 9.600 at y = 3.150.
  for (const Row& r : {Row{2, 6.300, 3.150, ShapeWhy::spacing, MendKind::exchanged_digits},
                       Row{2, 3.637, 3.150, ShapeWhy::spacing, std::nullopt},
                       Row{2, 3.2952, 3.150, ShapeWhy::spacing, MendKind::foot},
                       Row{2, 3.6254, 3.150, ShapeWhy::spacing, MendKind::inch},
                       Row{2, 3.640, 3.150, ShapeWhy::spacing, MendKind::one_digit},
                       Row{0, 1.137, 3.150, ShapeWhy::spacing, std::nullopt},
                       Row{7, 9.863, 3.150, ShapeWhy::spacing, std::nullopt},
                       Row{4, 6.000, 3.510, ShapeWhy::line, MendKind::exchanged_digits},
                       Row{0, 1.200, 3.187, ShapeWhy::line, std::nullopt},
                       Row{7, 9.600, 2.011, ShapeWhy::line, std::nullopt},
                       Row{3, 3.150, 4.800, ShapeWhy::line, MendKind::exchanged_xy}}) {
    CAPTURE(r.point);
    CAPTURE(r.x);
    CAPTURE(r.y);
    Drawn d;
    d.row(3.150, even(1.2, 1.2, 8)).row(5.4, even(1.2, 1.2, 8));
    CHECK(d.breaks().empty());
    d.places[r.point] = {{.x = Length::metres(r.x), .y = Length::metres(r.y)}};
    const auto found = d.breaks();
    REQUIRE(found.size() == 1);
    CHECK(found[0].point == r.point);
    CHECK(found[0].why == r.why);
    CHECK((found[0].mend ? std::optional(found[0].mend->kind) : std::nullopt) == r.mend);
    check_place(found[0], 1.2 + 1.2 * r.point, 3.150);
    CHECK(found[0].off.metres() ==
          doctest::Approx(std::hypot(r.x - 1.2 - 1.2 * r.point, r.y - 3.150)).epsilon(1e-9));
  }
}

TEST_CASE("feet and inches: feet exchanged, inches exchanged with feet, a foot, an inch") {
  const auto inches = [](double v) { return v * 0.0254; };
  struct Row {
    double keyed, meant;  // inches
    MendKind kind;
  };
  // Hangers at 3'-4", 7'-4", ... : the fourth at 15'-4".
  for (const Row& r :
       {Row{51 * 12 + 4, 15 * 12 + 4, MendKind::exchanged_digits},
        Row{16 * 12 + 4, 15 * 12 + 4, MendKind::foot}, Row{15 * 12 + 5, 15 * 12 + 4, MendKind::inch},
        Row{15 * 12 + 9, 15 * 12 + 4, MendKind::one_digit},
        Row{18 * 12 + 4, 15 * 12 + 4, MendKind::one_digit}}) {
    CAPTURE(r.keyed);
    Drawn d;
    d.unit = LengthUnit::feet_inches;
    std::vector<double> stations;
    for (int k = 0; k < 8; ++k) stations.push_back(inches(40 + 48 * k));
    d.row(inches(72), stations);
    d.places[3].at.x = Length::inches(r.keyed);
    const auto found = d.breaks();
    REQUIRE(found.size() == 1);
    CHECK(found[0].point == 3);
    REQUIRE(found[0].mend);
    CHECK(found[0].mend->kind == r.kind);
    CHECK(found[0].expected.at.x / Length::inches(1) == doctest::Approx(r.meant).epsilon(1e-9));
  }
}

TEST_CASE("what is laid out so is left alone") {
  const std::vector<double> bays{1, 1.6, 2.8, 4.0, 5.2, 6.4, 7.0}, joint{1, 2, 3, 4, 5, 6.4, 7.8, 9.2, 10.6};
  const auto staggered = [](Drawn d) {
    for (int r = 0; r < 4; ++r) d.row(2 + 1.5 * r, even(r % 2 ? 1.6 : 1.0, 1.2, 7));
    return d;
  };
  std::vector<double> moved = even(1, 1.2, 8), gap = even(1, 1.2, 8);
  moved[3] += 0.25;  // in every run, round a duct
  gap.push_back(gap.back() + 2.4);
  const auto three = [](double first, double last) {
    return Drawn{}
        .row(2, even(1, 1.2, 7))
        .row(2 + first, even(1, 1.2, 7))
        .row(2 + first + last, even(1, 1.2, 7));
  };
  const std::vector<std::pair<std::string, Drawn>> drawings{
      {"three runs, a wider pitch behind", three(1.5, 1.53)},
      {"three runs, a narrower pitch before", three(1.47, 1.53)},
      {"three runs, a narrower pitch behind", three(1.5, 1.47)},
      {"end bays", Drawn{}.row(2, bays)},
      {"a joint", Drawn{}.row(2, joint)},
      {"staggered", staggered({})},
      {"moved in two runs alike", Drawn{}.row(2, moved).row(4, moved).row(6, even(1, 1.2, 8))},
      {"the last but one left out", Drawn{}.row(2, gap)},
      {"two points", Drawn{}.row(2, {1, 3})},
      {"three points beside runs of other spaces",
       Drawn{}.row(2, {1, 2.5, 4.03}).row(4, even(1, 1.2, 7)).row(6, even(1, 1.1, 7))},
      {"three points alone", Drawn{}.row(2, {1.03, 2.17, 4.41})},
      {"four points alone", Drawn{}.row(2, {1, 2, 3, 4.37})},
      {"uneven", Drawn{}.row(2, {1, 2.03, 3.47, 4.11, 5.9, 6.31, 7.7})},
      {"no line", Drawn{}.run({{1, 2}, {3, 4.1}, {2.2, 7}, {8, 1}, {5, 5.5}, {0.3, 9}})},
      {"rows of no pitch",
       Drawn{}.row(1, even(1, 1.2, 6)).row(2.1, even(1, 1.2, 6)).row(5.6, even(1, 1.2, 6))}};
  for (const auto& [name, d] : drawings) {
    CAPTURE(name);
    CHECK(d.breaks().empty());
  }
}

TEST_CASE("one hanger left out, for a door or a column, makes none of the others wrong") {
  for (const bool is_alone : {true, false})
    for (const bool has_bays : {false, true})
      for (std::size_t out = 1; out < 19; ++out) {
        CAPTURE(is_alone);
        CAPTURE(has_bays);
        CAPTURE(out);
        std::vector<double> whole = even(3, 1.2, 20);
        if (has_bays) whole.front() += 0.6, whole.back() -= 0.6;
        std::vector<double> gap = whole;
        gap.erase(gap.begin() + static_cast<std::ptrdiff_t>(out));
        Drawn d = Drawn{}.row(4, gap);
        for (int r = 1; r < 6 && !is_alone; ++r) d.row(4 + 1.5 * r, whole);
        CHECK(d.breaks().empty());
      }
  // A hanger keyed one whole space aside stands at its neighbour, and is told.
  Drawn d;
  for (int r = 0; r < 4; ++r) d.row(4 + 1.5 * r, even(3, 1.2, 12));
  d.places[5].at.x += Length::metres(1.2);
  const auto found = d.breaks();
  REQUIRE(found.size() == 1);
  CHECK(found[0].point == 5);
}

TEST_CASE("another space behind a joint hides no slip on either side of it") {
  for (const std::uint32_t k : {2U, 6U, 7U}) {
    CAPTURE(k);
    Drawn d = Drawn{}.row(2, {1, 2, 3, 4, 5, 6, 7.4, 8.8, 10.2, 11.6});
    const double meant = d.places[k].at.x.metres();
    d.places[k].at.x += Length::millimetres(163);
    const auto found = d.breaks();
    REQUIRE(found.size() == 1);
    CHECK(found[0].point == k);
    check_place(found[0], meant, 2);
  }
}

TEST_CASE("ends that differ: told only where other runs decide which is wrong") {
  // A row centred on its own: `bay` at both ends of n - 2 points at 1.2 m.
  const auto centred = [](double from, double bay, int n) {
    std::vector<double> out{from - bay};
    for (const double x : even(from, 1.2, n - 2)) out.push_back(x);
    out.push_back(out.back() + bay);
    return out;
  };
  for (const double by : {-0.300, -0.850, -1.350}) {  // to another row's bay; the whole space; another's end
    CAPTURE(by);
    Drawn own = Drawn{}
                    .row(4, centred(9.0, 0.35, 8))
                    .row(5.5, centred(7.8, 0.5, 10))
                    .row(7, centred(8.4, 0.65, 9))
                    .row(8.5, centred(7.2, 0.45, 11))
                    .row(10, centred(6.6, 0.55, 12))
                    .row(11.5, centred(9.6, 0.4, 7));
    CHECK(own.breaks().empty());
    CHECK(own.look().unsure.empty());
    own.places[0].at.x += Length::metres(by);
    const ShapeLook look = own.look();
    CHECK(look.breaks.empty());
    REQUIRE(look.unsure.size() == 1);
    CHECK(look.unsure[0].kind == ShapeUnsure::Kind::ends);
    CHECK(look.unsure[0].first == 0);
    CHECK(look.unsure[0].last == 7);
    CHECK(look.unsure[0].first_bay.metres() == doctest::Approx(0.35 - by));
    CHECK(look.unsure[0].last_bay.metres() == doctest::Approx(0.35));
  }
  for (const double by : {-0.300, 0.163}) {  // to the whole space; anywhere
    CAPTURE(by);
    Drawn alike;
    for (int r = 0; r < 4; ++r) alike.row(4 + 1.5 * r, centred(3.9, 0.9, 10));
    alike.places[0].at.x += Length::metres(by);
    const auto found = alike.breaks();
    REQUIRE(found.size() == 1);
    CHECK(found[0].point == 0);
    check_place(found[0], 3, 4);
  }
}

TEST_CASE("a ring: off the circle, and on it but off its space") {
  Drawn out = ring(12, 2.5);
  CHECK(out.breaks().empty());
  out.places[3].at.y += Length::millimetres(120);  // straight away from the centre
  auto found = out.breaks();
  REQUIRE(found.size() == 1);
  CHECK(found[0].point == 3);
  CHECK(found[0].why == ShapeWhy::circle);
  check_place(found[0], 5, 8.5);
  Drawn round = ring(12, 2.5);
  const double a = std::numbers::pi / 2 + 0.1;
  round.places[3] = {
      {.x = Length::metres(5 + 2.5 * std::cos(a)), .y = Length::metres(6 + 2.5 * std::sin(a))}};
  found = round.breaks();
  REQUIRE(found.size() == 1);
  CHECK(found[0].point == 3);
  CHECK(found[0].why == ShapeWhy::spacing);
  check_place(found[0], 5, 8.5);
}

TEST_CASE("runs of one pitch: one aside, one turned, and one of the runs table") {
  const auto four = [] {
    Drawn d;
    for (int r = 0; r < 5; ++r) d.row(2 + 1.5 * r, even(1, 1.2, 6));
    return d;
  };
  CHECK(four().breaks().empty());
  Drawn aside = four();
  for (std::uint32_t i = aside.begins[2]; i < aside.begins[3]; ++i)
    aside.places[i].at.y += Length::millimetres(300);
  auto found = aside.breaks();
  REQUIRE(found.size() == 1);
  CHECK(!found[0].point);
  CHECK(found[0].run == 2);
  CHECK(found[0].why == ShapeWhy::pitch);
  check_place(found[0], 1, 5);
  CHECK(found[0].off.millimetres() == doctest::Approx(300));
  Drawn along = four();
  for (std::uint32_t i = along.begins[1]; i < along.begins[2]; ++i)
    along.places[i].at.x += Length::millimetres(300);
  found = along.breaks();
  REQUIRE(found.size() == 1);
  CHECK(!found[0].point);
  CHECK(found[0].run == 1);
  check_place(found[0], 1, 3.5);
  CHECK(found[0].why == ShapeWhy::spacing);
  CHECK(found[0].shift == RunShift::ahead);
  for (std::uint32_t i = along.begins[1]; i < along.begins[2]; ++i)
    along.places[i].at.x -= Length::millimetres(600);
  found = along.breaks();
  REQUIRE(found.size() == 1);
  CHECK(found[0].shift == RunShift::behind);
  Drawn turned = four();
  for (std::uint32_t i = turned.begins[3]; i < turned.begins[4]; ++i)
    turned.places[i].at.y += 0.05 * (turned.places[i].at.x - Length::metres(7));  // about its last point
  found = turned.breaks();
  REQUIRE(found.size() == 1);
  CHECK(!found[0].point);
  CHECK(found[0].run == 3);
  check_place(found[0], 1, 6.5);
  Drawn lines;
  for (const double y : {1.0, 2.5, 4.2, 5.5, 7.0})
    lines.lines.push_back({{{.x = Length::metres(1), .y = Length::metres(y)}},
                           {{.x = Length::metres(9), .y = Length::metres(y)}}});
  found = lines.breaks();
  REQUIRE(found.size() == 1);
  CHECK(found[0].run == 2);
  check_place(found[0], 1, 4);
}

TEST_CASE("a line of the runs table with one end aside is turned, and names no point") {
  for (const bool is_first : {true, false}) {
    CAPTURE(is_first);
    Drawn d;
    for (int r = 0; r < 6; ++r) {
      const double first = r == 2 && is_first ? 0.3 : 0, last = r == 2 && !is_first ? 0.3 : 0;
      d.lines.push_back({{{.x = Length::metres(3), .y = Length::metres(4 + 1.5 * r + first)}},
                         {{.x = Length::metres(13.2), .y = Length::metres(4 + 1.5 * r + last)}}});
    }
    const auto found = d.breaks();
    REQUIRE(found.size() == 1);
    CHECK(found[0].run == 2);
    CHECK(!found[0].point);
    CHECK(found[0].shift == RunShift::turned);
    CHECK(found[0].off.millimetres() == doctest::Approx(300));
    check_place(found[0], 3, 7);
  }
}

TEST_CASE("a run at an angle moved in x alone: square to it where no other run says how far along") {
  // Five runs at 30 degrees, 1.8 m apart; `own`: each begins elsewhere.
  const auto runs = [](bool own) {
    Drawn d;
    const double c = std::cos(std::numbers::pi / 6), s = std::sin(std::numbers::pi / 6);
    const auto mm = [](double v) { return std::round(v * 1000) / 1000; };
    for (int r = 0; r < 5; ++r) {
      std::vector<std::pair<double, double>> all;
      for (int k = 0; k < 8; ++k) {
        const double along = 1.2 * k + (own ? 0.37 * r * r : 0), across = 1.8 * r;
        all.push_back({mm(30 + along * c - across * s), mm(20 + along * s + across * c)});
      }
      d.run(all);
    }
    return d;
  };
  for (const bool own : {false, true}) {
    CAPTURE(own);
    Drawn d = runs(own);
    CHECK(d.breaks().empty());
    const Point<Drawing> meant = d.places[8];
    for (std::uint32_t i = 8; i < 16; ++i) d.places[i].at.x += Length::feet(1);
    const auto found = d.breaks();
    REQUIRE(found.size() == 1);
    CHECK(found[0].run == 1);
    CHECK(!found[0].point);
    CHECK((found[0].shift == RunShift::square) == own);
    if (!own) check_place(found[0], meant.at.x.metres(), meant.at.y.metres());
    if (own) CHECK(found[0].off.millimetres() == doctest::Approx(152.4).epsilon(0.02));
    if (own) CHECK(!found[0].mend);
  }
}

TEST_CASE("a point keyed with the run beside its own: its place is right, its run wrong") {
  std::vector<double> gap = even(3, 1.2, 10), with = even(3, 1.2, 10);
  gap.erase(gap.begin() + 4);
  const auto drawn = [&](double y) {
    std::vector<std::pair<double, double>> third{{7.8, y}};
    for (const double x : with) third.push_back({x, 7});
    return Drawn{}.row(4, with).row(5.5, gap).run(third).row(8.5, with).row(10, with);
  };
  auto found = drawn(5.5).breaks();
  REQUIRE(found.size() == 1);
  CHECK(found[0].point == 19);
  CHECK(found[0].run == 2);
  CHECK(found[0].fits_run == 1);
  check_place(found[0], 7.8, 5.5);
  CHECK(found[0].off.millimetres() == doctest::Approx(1500));
  found = drawn(5.53).breaks();  // on no run's line
  REQUIRE(found.size() == 1);
  CHECK(!found[0].fits_run);
}

TEST_CASE("short runs: stations and spaces of the others say which of their points is wrong") {
  for (std::uint32_t k = 0; k < 3; ++k) {
    CAPTURE(k);
    Drawn d;
    for (int r = 0; r < 4; ++r) d.row(2 + 1.5 * r, even(1, 1.2, 3));
    CHECK(d.breaks().empty());
    d.places[3 + k].at.x += Length::millimetres(187);
    const auto found = d.breaks();
    REQUIRE(found.size() == 1);
    CHECK(found[0].point == 3 + k);
    check_place(found[0], 1 + 1.2 * k, 3.5);
  }
}

TEST_CASE("x and y exchanged in a run of three: exchanging them back fits, not the foot on its line") {
  Drawn d;
  for (int r = 0; r < 5; ++r) d.row(9 + 1.5 * r, {8.0, 8.9, 9.8});
  for (const std::uint32_t k : {6U, 7U, 8U, 13U}) {
    CAPTURE(k);
    Drawn wrong = d;
    const Point<Drawing> meant = d.places[k];
    wrong.places[k] = {{.x = meant.at.y, .y = meant.at.x}};
    const auto found = wrong.breaks();
    REQUIRE(found.size() == 1);
    CHECK(found[0].point == k);
    REQUIRE(found[0].mend);
    CHECK(found[0].mend->kind == MendKind::exchanged_xy);
    check_place(found[0], meant.at.x.metres(), meant.at.y.metres());
  }
}

TEST_CASE("a run of which too many points differ is said not to be judged, beside runs that are even") {
  for (const int rows : {2, 5}) {
    CAPTURE(rows);
    Drawn d;
    for (int r = 0; r < rows; ++r) d.row(2 + 1.5 * r, even(1, 1.2, 10));
    CHECK(d.look().unsure.empty());
    d.places[13].at.x += Length::metres(0.163), d.places[16].at.x -= Length::metres(0.271);
    const ShapeLook look = d.look();
    CHECK(look.breaks.empty());
    REQUIRE(look.unsure.size() == (rows == 5 ? 1 : 0));
    if (rows < 5) continue;
    CHECK(look.unsure[0].kind == ShapeUnsure::Kind::spacing);
    CHECK(look.unsure[0].run == 1);
    CHECK(look.unsure[0].differ == 2);
    CHECK(look.unsure[0].points == 10);
  }
}

TEST_CASE("a height apart from those of its run; a run of two heights is left alone") {
  Drawn d = Drawn{}.row(2, even(1, 1.2, 6));
  for (std::size_t i = 0; i < 6; ++i) d.heights.put(i, Length::metres(i == 2 ? 2.57 : 2.75));
  auto found = d.breaks();
  REQUIRE(found.size() == 1);
  CHECK(found[0].point == 2);
  CHECK(found[0].why == ShapeWhy::height);
  CHECK(found[0].off.millimetres() == doctest::Approx(-180));
  REQUIRE(found[0].mend);
  CHECK(found[0].mend->kind == MendKind::exchanged_digits);
  check_place(found[0], 3.4, 2);
  Drawn step = Drawn{}.row(2, even(1, 1.2, 6));
  for (std::size_t i = 0; i < 6; ++i) step.heights.put(i, Length::metres(i < 3 ? 2.57 : 2.75));
  CHECK(step.breaks().empty());
}

TEST_CASE("several bad points bend no pattern") {
  Drawn d;
  for (int r = 0; r < 4; ++r) d.row(2 + 1.5 * r, even(1, 1.2, 14));
  d.places[4].at.y += Length::millimetres(77);
  d.places[9].at.y -= Length::millimetres(640);
  d.places[31].at.y += Length::millimetres(33);
  const auto found = d.breaks();
  REQUIRE(found.size() == 3);
  CHECK(found[0].point == 4);
  CHECK(found[1].point == 9);
  CHECK(found[2].point == 31);
}

TEST_CASE("a drawing of one point, of none, of points in one place") {
  CHECK(Drawn{}.breaks().empty());
  CHECK(Drawn{}.row(2, {1}).breaks().empty());
  CHECK(Drawn{}.row(2, {1, 1, 1, 1, 1, 1}).breaks().empty());
  CHECK(Drawn{}.row(2, {1, 1}).row(2, {1, 1}).row(3, {1, 1}).breaks().empty());
}

TEST_CASE("four of five points on a circle are chance, five of six are a circle") {
  // On a circle of radius 2 about (5, 6); the last stands in its middle.
  const std::vector<std::pair<double, double>> on{{7, 6}, {5, 8}, {3, 6}, {5, 4}, {6.2, 7.6}};
  Drawn few;
  few.run({on[0], on[1], on[4], on[3], {5, 6}});
  CHECK(few.breaks().empty());
  Drawn many;
  many.run({on[0], on[4], on[1], on[2], on[3], {5.5, 6}});
  const auto told = many.breaks();
  REQUIRE(told.size() == 1);
  CHECK(told[0].why == ShapeWhy::circle);
}
