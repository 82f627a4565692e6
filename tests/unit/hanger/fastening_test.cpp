#include "hanger/fastening.h"

#include <doctest/doctest.h>

#include "hanger_support.h"

using namespace hanger_test;

namespace {

const Outline kBay = rectangle(2, 0, 8, 6);

std::vector<std::pair<double, double>> shown(const std::vector<Stretch>& stretches) {
  std::vector<std::pair<double, double>> out;
  for (const Stretch& s : stretches) out.emplace_back(s.from.metres(), s.to.metres());
  return out;
}
void same(const std::vector<double>& got, const std::vector<double>& want) {
  REQUIRE(got.size() == want.size());
  for (std::size_t i = 0; i < got.size(); ++i) CHECK(std::abs(got[i] - want[i]) < 2e-6);
}

}  // namespace

TEST_CASE("the stretches of a run inside an outline") {
  struct Row {
    const char* what;
    Path run;
    std::vector<std::pair<double, double>> want;
  };
  // An outline in the form of a U that a line crosses twice.
  const std::vector<Point<Drawing>> u{at(0, 0), at(9, 0), at(9, 6), at(6, 6),
                                      at(6, 2), at(3, 2), at(3, 6), at(0, 6)};
  const Outline notched = std::get<Outline>(Outline::make(u));
  for (const Row& r : {Row{"through", *Path::line(at(0, 3), at(10, 3)), {{2, 8}}},
                       Row{"within", *Path::line(at(3, 3), at(7, 3)), {{0, 4}}},
                       Row{"beside", *Path::line(at(0, 7), at(10, 7)), {}},
                       Row{"ends inside", *Path::line(at(0, 3), at(5, 3)), {{2, 5}}},
                       // Half of a ring about a corner side: x below 2 is outside.
                       Row{"ring",
                           *Path::ring(at(3, 3), at(1, 3)),
                           {{0, std::acos(-1.0) / 2}, {1.5 * std::acos(-1.0), 2 * std::acos(-1.0)}}}}) {
    CAPTURE(r.what);
    const auto got = shown(stretches_inside(r.run, kBay));
    REQUIRE(got.size() == r.want.size());
    for (std::size_t i = 0; i < got.size(); ++i) {
      CHECK(std::abs(got[i].first - r.want[i].first) < 2e-6);
      CHECK(std::abs(got[i].second - r.want[i].second) < 2e-6);
    }
  }
  CHECK(shown(stretches_inside(*Path::line(at(-1, 4), at(10, 4)), notched)).size() == 2);
}

TEST_CASE("fastening lines cross a run at their places") {
  // Flutes along y: lines at x = 0.5, 1.5, ...; the bay reaches from 2 to 8.
  const FasteningLines lines{false, m(1), m(0.5)};
  auto f = fluted_stretches(*Path::line(at(0, 3), at(10, 3)), kBay, lines);
  REQUIRE(f.size() == 1);
  CHECK_FALSE(f[0].along_flutes);
  same(metres(f[0].fastening.places), {2.5, 3.5, 4.5, 5.5, 6.5, 7.5});
  // A run at 45 degrees meets them further apart.
  f = fluted_stretches(*Path::line(at(3, 1), at(6, 4)), kBay, lines);
  REQUIRE(f.size() == 1);
  same(metres(f[0].fastening.places), {0.5 * std::sqrt(2.0), 1.5 * std::sqrt(2.0), 2.5 * std::sqrt(2.0)});
  // Flutes along x, and a first line that is far off.
  f = fluted_stretches(*Path::line(at(4, 0), at(4, 6)), kBay, {true, m(2), m(-101)});
  REQUIRE(f.size() == 1);
  same(metres(f[0].fastening.places), {1, 3, 5});
}

TEST_CASE("a run along the flutes has no places") {
  const FasteningLines along_x{true, m(0.2), m(0)};
  for (const auto& [y, along] :
       {std::pair(3.0, true), std::pair(4.0, true), std::pair(5.0, false)}) {  // 0, 11 and 22 degrees
    CAPTURE(y);
    const auto f = fluted_stretches(*Path::line(at(2.5, 3), at(7.5, y)), kBay, along_x);
    REQUIRE(f.size() == 1);
    CHECK(f[0].along_flutes == along);
    CHECK(f[0].fastening.places.empty() == along);
  }
}

TEST_CASE("a ring goes along the flutes wherever it starts") {
  const auto bay = std::get<Outline>(
      Outline::make(std::vector<Point<Drawing>>{at(-10, -10), at(10, -10), at(10, 10), at(-10, 10)}));
  for (const bool along_x : {true, false})
    for (double start = 0; start < 360; start += 7.5) {
      CAPTURE(start);
      const double c = 4 * std::cos(start * M_PI / 180), s = 4 * std::sin(start * M_PI / 180);
      const auto out = fluted_stretches(*Path::ring(at(c, s), at(-c, -s)), bay, {along_x, m(0.3), m(0.05)});
      REQUIRE(out.size() == 1);
      CHECK(out[0].along_flutes);
      CHECK(out[0].fastening.places.empty());
    }
}

TEST_CASE("places lie on lines and in the bay, for random lines, arcs and bays") {
  std::mt19937_64 random(1);
  std::size_t places = 0;
  for (int i = 0; i < 2000; ++i) {
    const double x0 = uniform(random, -20, 20), y0 = uniform(random, -20, 20);
    const double wide = uniform(random, 1, 15), high = uniform(random, 1, 15);
    const Outline bay = rectangle(x0, y0, x0 + wide, y0 + high);
    const auto from = at(uniform(random, -20, 20), uniform(random, -20, 20)),
               to = at(uniform(random, -20, 20), uniform(random, -20, 20));
    const auto run = coin(random) ? Path::line(from, to) : Path::ring(from, to);
    if (!run) continue;
    const FasteningLines lines{coin(random), m(uniform(random, 0.1, 2)), m(uniform(random, -50, 50))};
    for (const FlutedStretch& s : fluted_stretches(*run, bay, lines)) {
      CHECK(s.fastening.stretch.from < s.fastening.stretch.to);
      for (const Length p : s.fastening.places) {
        const Point<Drawing> place = run->at(p);
        const double k = ((lines.along_x ? place.at.y : place.at.x) - lines.first) / lines.pitch;
        CHECK(std::abs(k - std::round(k)) * lines.pitch.metres() < 3e-6);
        CHECK(bay.clearance(place) < m(3e-6));
        ++places;
      }
    }
  }
  CHECK(places > 1000);
}
