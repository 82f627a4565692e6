// Differences, verdicts and statistics of as-built shots.
#include "asbuilt/compare.h"

#include <doctest/doctest.h>

#include <cmath>

#include "asbuilt/runs.h"

using namespace deckmark;

namespace {

Point<Site> at(double north, double east) {
  return {{.northing = Length::metres(north), .easting = Length::metres(east)}};
}

PairedShot shot(double north, double east, double sd = 0.001) {
  PairedShot s{0,  0, AsbuiltLevel::floor, at(100 + north, 200 + east), at(100, 200), {}, Length::metres(sd),
               {}, {}};
  return s;
}
const Transform<Drawing, Site> kPlain = drawing_is_site(false).inverse();

AsbuiltRow judged(const PairedShot& s, bool guarded = false,
                  std::optional<Length> flatness = Length::millimetres(20)) {
  AsbuiltOptions options;
  options.guarded = guarded;
  return compare(s, kPlain, options, flatness);
}

}  // namespace

TEST_CASE("differences are as built minus design along the baselines, whichever way these look") {
  // +X at azimuth 120: dx = dN cos + dE sin, dy = dN sin - dE cos, at +90 degrees counter-clockwise.
  SimilarityParts parts{
      {{.x = Length::metres(0), .y = Length::metres(0)}}, at(0, 0), Azimuth::degrees(120), 1.0, false};
  const double c = std::cos(120 * M_PI / 180), s = std::sin(120 * M_PI / 180);
  for (const bool mirrored : {false, true}) {
    parts.mirrored = mirrored;
    const AsbuiltRow r = compare(shot(0.004, -0.003), claim(parts).inverse(), {}, std::nullopt);
    CHECK(r.off.by.x.metres() == doctest::Approx(0.004 * c - 0.003 * s));
    CHECK(r.off.by.y.metres() == doctest::Approx((0.004 * s + 0.003 * c) * (mirrored ? -1 : 1)));
    CHECK(r.offset.metres() == doctest::Approx(0.005));
  }
}

TEST_CASE("verdict in plan: exactly at the limit is within; guarded keeps two sds on both sides") {
  struct Row {
    double off, sd;
    Verdict simple, guarded;
  };  // mm
  using enum Verdict;
  for (const Row& r :
       {Row{6, 1, within, unsure}, Row{6.001, 1, outside, unsure}, Row{4, 1, within, within},
        Row{4.001, 1, within, unsure}, Row{8, 1, outside, unsure}, Row{8.001, 1, outside, outside},
        Row{0, 2.9, within, within}, Row{0, 3.1, within, unsure}, Row{13, 3.1, outside, outside},
        Row{6, 0, within, within}}) {
    CAPTURE(r.off);
    CAPTURE(r.sd);
    CHECK(judged(shot(r.off / 1000, 0, r.sd / 1000)).plan == r.simple);
    CHECK(judged(shot(r.off / 1000, 0, r.sd / 1000), true).plan == r.guarded);
  }
}

TEST_CASE(
    "sd of the offset: the shot's and the design's, along the offset; the larger axis for a small one") {
  PairedShot s = shot(0.010, 0, 0.003);
  s.design_covariance = {16e-6, 0, 1e-6};
  CHECK(judged(s).sd.millimetres() == doctest::Approx(5));  // along north: 9 + 16
  s.at = at(100, 200.010);
  CHECK(judged(s).sd.millimetres() == doctest::Approx(std::sqrt(10.0)));  // along east: 9 + 1
  s.at = at(100, 200.001);
  CHECK(judged(s).sd.millimetres() == doctest::Approx(5));  // smaller than the axis
}

TEST_CASE("heights: brackets by their tolerance, deck points by the flatness, floor marks not at all") {
  PairedShot s = shot(0, 0, 0.001);
  s.design_elevation = Elevation::metres(15.0);
  s.elevation = Elevation::metres(15.003);
  CHECK(judged(s).up->metres() == doctest::Approx(0.003));
  CHECK_FALSE(judged(s).height);
  s.level = AsbuiltLevel::bracket;
  CHECK(judged(s).height == Verdict::within);
  CHECK(judged(s, true).height == Verdict::unsure);
  s.elevation = Elevation::metres(14.9969);
  CHECK(judged(s).height == Verdict::outside);
  CHECK(*judged(s).height_conforms == doctest::Approx(0.4602).epsilon(0.001));  // Phi(-0.1) - Phi(-6.1)
  s.level = AsbuiltLevel::deck;
  CHECK(judged(s).height == Verdict::within);
  CHECK_FALSE(judged(s, false, std::nullopt).height);
  s.elevation.reset();
  CHECK_FALSE(judged(s).up);
}

TEST_CASE("statistics of a level") {
  std::vector<AsbuiltRow> rows;
  for (const auto& [n, e] : {std::pair{0.001, 0.002}, {0.003, -0.002}, {-0.001, 0.009}})
    rows.push_back(judged(shot(n, e)));
  const auto levels = level_statistics(rows);
  REQUIRE(levels.size() == 1);
  const LevelStatistics& s = levels[0];
  CHECK(s.shots == 3);
  CHECK(s.within == 2);
  CHECK(s.outside == 1);
  CHECK(s.worst == 2);
  // y is north here. By hand: mean 1, deviations 0 2 -2; squares 1 9 1.
  CHECK(s.y.bias.millimetres() == doctest::Approx(1));
  CHECK(s.y.sd->millimetres() == doctest::Approx(2));
  CHECK(s.y.rms.millimetres() == doctest::Approx(std::sqrt(11.0 / 3)));
  CHECK(s.x.bias.millimetres() == doctest::Approx(3));
  CHECK(s.x.rms.millimetres() == doctest::Approx(std::sqrt(89.0 / 3)));
  CHECK(s.rms_plan.millimetres() == doctest::Approx(std::sqrt(100.0 / 3)));
  CHECK_FALSE(s.up);
}

TEST_CASE("the distance that holds most shots is counted") {
  // 2026-11-27: it was taken from the rms and a bell curve about no bias: 79 of 100 marks lay within.
  struct Row {
    int shots, holds;
  };
  for (const Row& r : {Row{1, 1}, Row{19, 19}, Row{20, 19}, Row{21, 20}, Row{39, 38}, Row{40, 38},
                       Row{41, 39}, Row{100, 95}, Row{101, 96}}) {
    CAPTURE(r.shots);
    std::vector<AsbuiltRow> rows;
    for (int k = r.shots; k >= 1; --k) rows.push_back(judged(shot(0, 0.001 * k)));
    CHECK(level_statistics(rows)[0].most.millimetres() == doctest::Approx(r.holds));
  }
}

namespace {

/// A run of points 1 m apart along north, and another that bends; their shots.
struct Lines {
  MarkTable marks;
  std::vector<Point<Site>> site;
  std::vector<AsbuiltRow> rows;
  void add(double north, double east, std::string_view run, double off_north, double off_east) {
    const std::size_t i = marks.size();
    marks.places.push_back({{.x = Length::metres(east), .y = Length::metres(north)}});
    marks.runs.put(i, run);
    site.push_back(at(north, east));
    PairedShot s{i,
                 static_cast<std::uint32_t>(i),
                 AsbuiltLevel::floor,
                 at(north + off_north, east + off_east),
                 site.back(),
                 {},
                 Length::millimetres(1),
                 {},
                 {}};
    rows.push_back(compare(s, kPlain, {}, std::nullopt));
  }
};

}  // namespace

TEST_CASE("spacing, along and across, and the line of a run") {
  Lines l;
  for (int i = 0; i < 5; ++i) l.add(i, 0, "R1", i == 3 ? 0.004 : 0, i == 2 ? 0.010 : 0);
  l.add(0, 10, "R2", 0, 0);
  l.add(1, 10, "R2", 0, 0);
  l.add(1, 11, "R2", 0, 0);
  const RunsResult r = look_along_runs(l.rows, l.marks, l.site);
  REQUIRE(r.spaces.size() == 4 + 2);
  CHECK((r.spaces[2].built - r.spaces[2].design).millimetres() == doctest::Approx(4).epsilon(0.02));
  CHECK((r.spaces[3].built - r.spaces[3].design).millimetres() == doctest::Approx(-4).epsilon(1e-6));
  REQUIRE(r.lines.size() == 1);  // R2 is not straight
  CHECK(r.lines[0].worst_row == 2);
  // From the other four, which lie in line; from the line through all five it would be 8.
  CHECK(r.lines[0].worst.millimetres() == doctest::Approx(10).epsilon(0.001));
  CHECK(l.rows[2].across->millimetres() == doctest::Approx(10));  // east of a run to the north: to the right
  CHECK(l.rows[3].along->millimetres() == doctest::Approx(4));
  CHECK(std::abs(r.lines[0].turned.degrees()) < 1e-3);  // the two marks that are off hardly turn it
}

TEST_CASE("a run that is turned is straight, and says so") {
  Lines l;
  for (int i = 0; i < 9; ++i) l.add(i, 0, "R1", 0, 0.002 * i);
  const RunsResult r = look_along_runs(l.rows, l.marks, l.site);
  REQUIRE(r.lines.size() == 1);
  CHECK(std::abs(r.lines[0].worst.millimetres()) < 1e-6);
  CHECK(r.lines[0].turned.degrees() ==
        doctest::Approx(std::atan(0.002) * 180 / M_PI));  // to the east: clockwise
}
