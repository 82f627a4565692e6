#include <doctest/doctest.h>

#include <array>
#include <string>

#include "lift_support.h"
#include "measure/length_text.h"
#include "support/vector_file.h"

using namespace lift_test;

namespace {

// Independent of the program: Cramer's rule on the normal equations in long double, no centring.
struct ClosedPlane {
  long double a, n, e;  // elevation = a + n northing + e easting
};
ClosedPlane closed_form(const std::vector<DeckShot>& shots) {
  long double s1 = 0, sn = 0, se = 0, snn = 0, sne = 0, see = 0, sh = 0, snh = 0, seh = 0;
  for (const DeckShot& s : shots) {
    const long double n = s.at.at.northing.metres(), e = s.at.at.easting.metres(),
                      h = s.elevation.above_datum().metres();
    s1 += 1, sn += n, se += e, snn += n * n, sne += n * e, see += e * e, sh += h, snh += n * h, seh += e * h;
  }
  const auto det = [](long double a, long double b, long double c, long double d, long double e,
                      long double f, long double g, long double h, long double i) {
    return a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
  };
  const long double d = det(s1, sn, se, sn, snn, sne, se, sne, see);
  return {det(sh, sn, se, snh, snn, sne, seh, sne, see) / d, det(s1, sh, se, sn, snh, sne, se, seh, see) / d,
          det(s1, sn, sh, sn, snn, snh, se, sne, seh) / d};
}

std::vector<DeckShot> grid_of(double (*height)(double, double), std::size_t rows, std::size_t cols) {
  std::vector<DeckShot> out;
  for (std::size_t i = 0; i < rows; ++i)
    for (std::size_t j = 0; j < cols; ++j) {
      const double n = 3.0 * static_cast<double>(i), e = 4.0 * static_cast<double>(j);
      out.push_back(shot(n, e, height(n, e)));
    }
  return out;
}

// Deterministic wobble of up to 1.5 mm, without any random source.
double wobble(std::size_t i) { return 0.001 * (static_cast<double>((i * 7919) % 31) / 10.0 - 1.5); }

}  // namespace

TEST_CASE("a stated level is the same everywhere") {
  const Deck deck = Deck::level(Elevation::metres(16.2));
  CHECK(deck.elevation_at(at(0, 0)) == Elevation::metres(16.2));
  CHECK(deck.elevation_at(at(4.5e6, -3e5)) == Elevation::metres(16.2));
  CHECK(deck.is_level());
  CHECK(deck.slope() == 0);
  CHECK_FALSE(deck.rises_towards());
  CHECK_FALSE(deck.sd_at(at(1, 1)));
}

TEST_CASE("three shots fix a plane without scatter") {
  const std::vector<DeckShot> shots{shot(0, 0, 16), shot(10, 0, 16.1), shot(0, 10, 16.2)};
  const DeckResult r = fit_deck(shots);
  REQUIRE(r.status == DeckStatus::fitted);
  CHECK(r.deck->elevation_at(at(10, 10)).above_datum().metres() == doctest::Approx(16.3).epsilon(1e-12));
  CHECK(r.deck->slope() == doctest::Approx(std::hypot(0.01, 0.02)).epsilon(1e-12));
  CHECK(r.deck->rises_towards()->degrees() == doctest::Approx(63.43494882292201).epsilon(1e-12));  // atan(2)
  CHECK(r.rms.metres() < 1e-12);
  CHECK_FALSE(r.deck->sd_at(at(0, 0)));
  CHECK(r.strays.empty());
  CHECK_FALSE(r.two_levels);
}

TEST_CASE("the plane agrees with an independent closed form") {
  std::vector<DeckShot> shots =
      grid_of([](double n, double e) { return 16.2 + 0.004 * n - 0.007 * e; }, 4, 5);
  for (std::size_t i = 0; i < shots.size(); ++i) shots[i].elevation = shots[i].elevation + m(wobble(i));
  const ClosedPlane want = closed_form(shots);
  const DeckResult r = fit_deck(shots);
  REQUIRE(r.status == DeckStatus::fitted);
  double squares = 0;
  for (std::size_t i = 0; i < shots.size(); ++i) {
    const auto& p = shots[i].at;
    const double plane =
        static_cast<double>(want.a + want.n * p.at.northing.metres() + want.e * p.at.easting.metres());
    CHECK(r.deck->elevation_at(p).above_datum().metres() == doctest::Approx(plane).epsilon(1e-13));
    const double v = shots[i].elevation.above_datum().metres() - plane;
    CHECK(r.residuals[i].metres() == doctest::Approx(v).epsilon(1e-6));
    squares += v * v;
  }
  CHECK(r.rms.metres() == doctest::Approx(std::sqrt(squares / 20)).epsilon(1e-6));
  // sd over the centroid of n shots is s / sqrt(n), s from n - 3 degrees of freedom.
  CHECK(r.deck->sd_at(at(4.5, 8))->metres() == doctest::Approx(std::sqrt(squares / 17 / 20)).epsilon(1e-6));
  CHECK(r.deck->sd_at(at(40, 80))->metres() > 3 * r.deck->sd_at(at(4.5, 8))->metres());
}

TEST_CASE("coordinates in the millions lose nothing") {
  std::vector<DeckShot> near = grid_of([](double n, double e) { return 16.2 + 0.004 * n - 0.007 * e; }, 4, 5),
                        away;
  for (std::size_t i = 0; i < near.size(); ++i) {
    near[i].elevation = near[i].elevation + m(wobble(i));
    away.push_back(near[i]);
    away.back().at = near[i].at + Vec<Site>{{.northing = m(4000000), .easting = m(-7000000)}};
  }
  const DeckResult a = fit_deck(near), b = fit_deck(away);
  CHECK(a.deck->elevation_at(at(5, 5)).above_datum().metres() ==
        doctest::Approx(b.deck->elevation_at(at(4000005, -6999995)).above_datum().metres()).epsilon(1e-12));
}

TEST_CASE("what does not fix a plane is told") {
  CHECK(fit_deck({}).status == DeckStatus::too_few);
  CHECK(fit_deck(std::vector{shot(0, 0, 16), shot(9, 0, 16)}).status == DeckStatus::too_few);
  CHECK(fit_deck(std::vector{shot(0, 0, 16), shot(9, 0, 16), shot(18, 0, 16)}).status ==
        DeckStatus::on_one_line);
  CHECK(fit_deck(std::vector{shot(1, 1, 16), shot(1, 1, 16), shot(1, 1, 16)}).status ==
        DeckStatus::on_one_line);
  CHECK(fit_deck(std::vector{shot(1, 1, 16), shot(1, 1, 16), shot(5, 3, 16), shot(5, 3, 16.01)}).status ==
        DeckStatus::on_one_line);
  // one millimetre beside a line of 20 m, far from the origin: still a line
  CHECK(fit_deck(std::vector{shot(4e6, 3e5, 16), shot(4e6 + 10, 3e5 + 0.001, 16), shot(4e6 + 20, 3e5, 16)})
            .status == DeckStatus::on_one_line);
  const DeckResult narrow = fit_deck(std::vector{shot(0, 0, 16), shot(20, 0.3, 16), shot(40, 0, 16)});
  CHECK(narrow.status == DeckStatus::fitted);
  CHECK(narrow.narrow);
  CHECK_FALSE(fit_deck(std::vector{shot(0, 0, 16), shot(20, 9, 16), shot(40, 0, 16)}).narrow);
}

TEST_CASE("exactly at the flatness is not far") {
  // Residuals of a square with one corner 80 mm up are +-20 mm.
  std::vector<DeckShot> square{shot(0, 0, 16), shot(0, 8, 16), shot(8, 8, 16.08), shot(8, 0, 16)};
  CHECK(fit_deck(square).far.empty());
  square[2] = shot(8, 8, 16.0801);
  const DeckResult r = fit_deck(square);
  REQUIRE(r.far.size() == 4);
  CHECK(r.far[0].off.millimetres() == doctest::Approx(20.025).epsilon(1e-6));
  CHECK(fit_deck(square, {.flatness = mm(21)}).far.empty());
}

TEST_CASE("one wrong shot is named and is no second level") {
  for (const double wrong : {0.1, -0.1, 1.0, -3.0})
    for (const std::size_t index : {std::size_t{0}, std::size_t{7}, std::size_t{13}}) {
      CAPTURE(wrong);
      CAPTURE(index);
      std::vector<DeckShot> shots =
          grid_of([](double n, double e) { return 16.2 + 0.002 * n + 0.001 * e; }, 2, 7);
      for (std::size_t i = 0; i < shots.size(); ++i) shots[i].elevation = shots[i].elevation + m(wobble(i));
      shots[index].elevation = shots[index].elevation + m(wrong);
      const DeckResult r = fit_deck(shots);
      REQUIRE(r.strays.size() == 1);
      CHECK(r.strays[0].shot == index);
      CHECK(r.strays[0].off.metres() == doctest::Approx(wrong).epsilon(0.05));
      CHECK_FALSE(r.two_levels);
    }
}

TEST_CASE("two shots of a dozen that agree are strays, three are a level") {
  for (const std::size_t up : {std::size_t{2}, std::size_t{3}}) {
    std::vector<DeckShot> shots = grid_of([](double, double) { return 16.2; }, 3, 4);
    for (std::size_t i = 0; i < shots.size(); ++i) shots[i].elevation = shots[i].elevation + m(wobble(i));
    for (std::size_t k = 0; k < up; ++k) shots[2 + 4 * k].elevation = shots[2 + 4 * k].elevation + m(0.1);
    const DeckResult r = fit_deck(shots);
    CHECK(r.strays.size() == (up == 2 ? 2 : 0));
    CHECK(r.two_levels.has_value() == (up == 3));
  }
}

TEST_CASE("flute bottoms and tops are two levels, level or sloping") {
  for (const double slope : {0.0, 0.02})
    for (const double step : {0.038, 0.076}) {
      CAPTURE(slope);
      CAPTURE(step);
      std::vector<DeckShot> shots;
      std::vector<std::size_t> upper, lower;
      for (std::size_t i = 0; i < 14; ++i) {
        const double n = static_cast<double>((i * 5) % 14), e = static_cast<double>((i * 9) % 13);
        const bool up = i % 3 == 1;
        shots.push_back(shot(n, e, 16.2 + slope * n - slope * e / 2 + (up ? step : 0) + wobble(i)));
        (up ? upper : lower).push_back(i);
      }
      const DeckResult r = fit_deck(shots);
      REQUIRE(r.two_levels);
      CHECK(r.two_levels->lower_shots == lower);
      CHECK(r.two_levels->upper_shots == upper);
      CHECK(r.two_levels->step.metres() == doctest::Approx(step).epsilon(0.05));
      const double height = 16.2 + slope * 5 - slope * 5 / 2;
      CHECK(std::fabs(r.two_levels->lower.elevation_at(at(5, 5)).above_datum().metres() - height) < 0.002);
      CHECK(std::fabs(r.two_levels->upper.elevation_at(at(5, 5)).above_datum().metres() - height - step) <
            0.002);
      CHECK(r.strays.empty());
    }
}

TEST_CASE("a wrong shot among two levels is named beside them") {
  std::vector<DeckShot> shots;
  for (std::size_t i = 0; i < 14; ++i) {
    const double n = static_cast<double>((i * 5) % 14), e = static_cast<double>((i * 9) % 13);
    shots.push_back(shot(n, e, 16.2 + (i % 2 == 1 ? 0.05 : 0) + wobble(i)));
  }
  shots[4].elevation = shots[4].elevation - m(0.3);
  const DeckResult r = fit_deck(shots);
  REQUIRE(r.strays.size() == 1);
  CHECK(r.strays[0].shot == 4);
  CHECK(r.strays[0].off.metres() == doctest::Approx(-0.3).epsilon(0.02));
  REQUIRE(r.two_levels);
  CHECK(r.two_levels->lower_shots.size() == 6);
  CHECK(r.two_levels->upper_shots.size() == 7);
}

TEST_CASE("a step under half the flatness is no second level") {
  std::vector<DeckShot> shots = grid_of([](double, double) { return 16.2; }, 3, 4);
  for (std::size_t i = 0; i < shots.size(); i += 2) shots[i].elevation = shots[i].elevation + m(0.008);
  CHECK_FALSE(fit_deck(shots).two_levels);
  CHECK(fit_deck(shots, {.flatness = mm(10)}).two_levels);
}

TEST_CASE("rise and drop over a mark") {
  const Deck deck = Deck::level(Elevation::metres(16.2));
  const MarkHeights h = heights_over(at(1, 2), Elevation::metres(12), m(2.9), &deck);
  CHECK(h.attach->above_datum().metres() == doctest::Approx(14.9).epsilon(1e-15));
  CHECK(h.rise->metres() == doctest::Approx(4.2).epsilon(1e-14));
  CHECK(h.drop->metres() == doctest::Approx(1.3).epsilon(1e-14));
  CHECK_FALSE(h.deck_not_above_attach);
  CHECK_FALSE(h.deck_not_above_floor);
  CHECK(
      heights_over(at(1, 2), Elevation::metres(12), m(4.2), &deck).deck_not_above_attach);  // no room at all
  CHECK_FALSE(heights_over(at(1, 2), Elevation::metres(12), m(4.199), &deck).deck_not_above_attach);
  CHECK(heights_over(at(1, 2), Elevation::metres(16.2), std::nullopt, &deck).deck_not_above_floor);
  const MarkHeights no_bracket = heights_over(at(1, 2), Elevation::metres(12), std::nullopt, &deck);
  CHECK_FALSE(no_bracket.drop);
  CHECK_FALSE(no_bracket.attach);
  CHECK(no_bracket.rise);
  const MarkHeights no_deck = heights_over(at(1, 2), Elevation::metres(12), m(2.9), nullptr);
  CHECK_FALSE(no_deck.rise);
  CHECK_FALSE(no_deck.drop);
  CHECK(no_deck.attach);
}

// tests/cases/cases.csv, kind lift: heights added by their text. The rows about carrying a whole layout up by
// common marks have no counterpart: the deck is reached plumb from the floor marks, with the same
// coordinates.
TEST_CASE("cases: heights in their own units add up") {
  int seen = 0;
  for (const auto& row : deckmark_test::read_vectors("cases/cases.csv")) {
    if (row.at("kind") != "lift") continue;
    const std::string& text = row.at("input");
    const auto comma = text.find(", lift ");
    if (text.rfind("mark ", 0) != 0 || comma == std::string::npos) continue;
    CAPTURE(text);
    const LengthForm form{.bare = LengthUnit::feet_inches, .needs_unit = true};
    const auto mark = read_length(text.substr(5, comma - 5), form);
    const auto lift = read_length(text.substr(comma + 7), form);
    REQUIRE(mark);
    REQUIRE(lift);
    const Deck deck = Deck::level(Elevation::at(mark->value) + lift->value);
    const Length up = deck.elevation_at(at(0, 0)).above_datum();
    CHECK(up.metres() == doctest::Approx(std::stod(row.at("value"))).epsilon(1e-15));
    if (row.at("id") == "lift-01") CHECK(feet_inches_text(up, 16) == "113'-4 1/2\"");
    if (row.at("id") == "lift-02") CHECK(feet_inches_text(up, 16) == "10'-0\"");
    ++seen;
  }
  CHECK(seen == 3);
}
