#include "stages/heights.h"

#include <doctest/doctest.h>

#include <algorithm>

#include "stages/brackets.h"
#include "stages/heights_words.h"
#include "stages/measured_decks.h"
#include "unit/stages/plain_overhead.h"

using namespace plain;

namespace {

using Lines = std::vector<std::string>;

/// Readings as their tables state them; the first of each stands on line 2. Lengths in metres.
struct Case {
  PlainLaid laid = laid_of({{"H1", 0, 0}, {"H2", 2, 0}, {"H3", 0, 2}, {"REF", 5, 5, "", "reference"}});
  HeightsJob job;
  std::optional<Length> datum = m(1);
  LengthUnit site_unit = LengthUnit::metre, drawing_unit = LengthUnit::metre;

  Case() {
    laid.put_deck(4);
    job.wanted = true;
    job.options.beam_sd = Angle::degrees(0.01);
    bench("BM1", 10);
  }
  void bench(std::string name, double elevation, std::optional<Length> sd = {}) {
    job.benchmarks.push_back({std::move(name), Elevation::metres(elevation), sd});
  }
  void back(std::string setup, std::string target, double reading) {
    job.level.push_back({std::move(setup), {std::move(target), {}}, true, m(reading), {}});
  }
  void fore(std::string setup, std::string target, double reading, std::optional<AsbuiltLevel> level = {}) {
    job.level.push_back({std::move(setup), {std::move(target), level}, false, m(reading), {}});
  }
  void laser(std::string name, std::string target, double reading, bool above,
             std::optional<AsbuiltLevel> level = {}, double distance = 5) {
    job.laser.push_back({std::move(name), {std::move(target), level}, m(reading), above, m(distance), {}});
  }
  void put_tables() {
    std::string benchmarks = "point,elevation\n", level = "setup,target,level,back,fore\n",
                readings = "laser,target,level,reading\n";
    for (const auto& b : job.benchmarks) benchmarks += b.point + ",1\n";
    for (const auto& r : job.level) level += r.setup + "," + r.target.name + ",,1,1\n";
    for (const auto& r : job.laser) readings += r.laser + "," + r.target.name + ",,1\n";
    const auto name = ColumnKind::name;
    const auto length = ColumnKind::length;
    job.benchmarks_table = table_of("benchmarks.csv", {{"point", name}, {"elevation", length}}, benchmarks);
    job.level_table = table_of(
        "level.csv",
        {{"setup", name}, {"target", name}, {"level", ColumnKind::text}, {"back", length}, {"fore", length}},
        level);
    job.laser_table = table_of(
        "laser.csv", {{"laser", name}, {"target", name}, {"level", ColumnKind::text}, {"reading", length}},
        readings);
  }
  void housing(std::string name, std::string target, double reading, Housing housing, double distance = 5) {
    laser(std::move(name), std::move(target), reading, false, {}, distance);
    job.laser.back().housing = housing;
  }
  HeightsStated stated() const { return {job, Elevation::metres(10), datum, site_unit, drawing_unit}; }
  Staged<HeightsFound> found() {
    put_tables();
    return find_heights(stated(), {&laid.marks, &laid.numbers});
  }
};

double metres(const std::optional<Elevation>& e) { return e ? e->above_datum().metres() : -999; }

}  // namespace

TEST_CASE("heights: absent without readings; the datum line lies over the floor") {
  Case c;
  c.job.wanted = false;
  CHECK(c.found().came == Came::absent);
  CHECK(metres(c.stated().datum_line()) == doctest::Approx(11));
  c.datum.reset();
  CHECK(!c.stated().datum_line());
}

TEST_CASE("heights: a mark by name, floor number and deck number; targets in the order first read") {
  Case c;
  c.back("L1", "bm1", 1.5);
  c.fore("L1", "TP1", 1.0);
  c.fore("L1", "H1", 1.2);
  c.fore("L1", "1001", 1.2);
  c.laser("A", "BM1", 2.0, false);
  c.laser("A", "6001", 2.5, true);
  c.laser("A", "H1", 2.5, true, AsbuiltLevel::deck);
  c.laser("A", "1002", 0.5, true, AsbuiltLevel::bracket);
  const auto f = c.found();
  REQUIRE(f.get());
  const HeightsFound& h = *f.get();
  Lines names;
  for (const HeightTarget& t : h.targets) names.push_back(t.name);
  CHECK(names == Lines{"bm1", "TP1", "H1", "H1", "H2"});
  CHECK(h.targets[2].level == AsbuiltLevel::floor);
  CHECK(h.targets[3].level == AsbuiltLevel::deck);
  CHECK(h.targets[0].setups == std::vector<std::size_t>{0});
  CHECK(h.targets[0].lasers == std::vector<std::size_t>{0});
  CHECK(h.targets[3].setups.empty());
  CHECK(metres(h.result.targets[1].elevation) == doctest::Approx(10.5));
  REQUIRE(h.at(0, AsbuiltLevel::deck));
  CHECK(metres(h.at(0, AsbuiltLevel::deck)->elevation) == doctest::Approx(14.5));
  CHECK(!h.at(1, AsbuiltLevel::deck));
  CHECK(h.of(AsbuiltLevel::bracket).size() == 1);
  CHECK(h.of(AsbuiltLevel::bracket)[0].mark == 1);
}

TEST_CASE("heights: free names that look like numbers, or that state a level, are doubted once") {
  Case c;
  c.back("L1", "BM1", 1.5);
  c.fore("L1", "TP1", 1.0);
  c.fore("L1", "1099", 1.0);
  c.fore("L1", "1099", 1.0);
  c.fore("L1", "H9", 1.0, AsbuiltLevel::deck);
  const auto f = c.found();
  REQUIRE(f.get());
  Lines free;
  for (const std::string& line : told(f.told, Grade::doubt))
    if (line.find("is neither a benchmark") != std::string::npos) free.push_back(line.substr(0, 30));
  REQUIRE(free.size() == 2);
  CHECK(free[0].find("level.csv:4:4") != std::string::npos);
  CHECK(free[1].find("level.csv:6:4") != std::string::npos);
}

TEST_CASE("heights: what contradicts is told once: by the closure, or by the reading that is singled out") {
  Case two;
  two.bench("BM2", 11);
  two.laser("A", "BM1", 2, false);
  two.laser("A", "BM2", 1.02, false);
  auto f = two.found();
  REQUIRE(f.get());
  CHECK(f.get()->is_outside());
  CHECK(told(f.told, Grade::doubt) == Lines{"laser.csv:3:8: reading: laser A: by BM2 its plane is 20.0 mm "
                                            "higher than by BM1, permitted 4.7 mm; "
                                            "read it again, or BM1 or BM2 is not where its height says"});

  Case three;
  three.bench("BM2", 11);
  three.bench("BM3", 12.05);  // an old height
  for (const auto& [setup, laser] : {std::pair("L1", "A"), {"L2", "B"}}) {
    three.laser(laser, "BM1", 2, false);
    three.laser(laser, "BM2", 1, false);
    three.laser(laser, "BM3", 0, false);
    three.back(setup, "BM1", 2);
    three.fore(setup, "BM2", 1);
    three.fore(setup, "BM3", 0);
  }
  f = three.found();
  REQUIRE(f.get());
  const Lines lines = told(f.told, Grade::doubt);
  CHECK(std::ranges::count_if(lines, [](const std::string& l) {
          return l.find("benchmarks.csv:4") != std::string::npos &&
                 l.find("benchmark BM3") != std::string::npos;
        }) == 1);
}

TEST_CASE("heights: a line that does not close hides no other contradiction at its benchmark") {
  Case c;
  c.back("L1", "BM1", 2);
  c.fore("L1", "T", 1);
  c.back("L2", "T", 1);
  c.fore("L2", "BM1", 2.02);
  for (const auto& [laser, reading] : {std::pair("A", 1.0), {"B", 1.02}}) {
    c.laser(laser, "BM1", 2, false);
    c.laser(laser, "N", reading, false);
  }
  const auto f = c.found();
  REQUIRE(f.get());
  const Lines lines = told(f.told, Grade::doubt);
  REQUIRE(lines.size() == 2);
  CHECK(lines[0].find("closes 20.0 mm") != std::string::npos);
  CHECK(lines[1].find("read from A") != std::string::npos);
  CHECK(lines[1].find("read from L") == std::string::npos);
}

TEST_CASE("heights: a line that a further back closes is told at that back") {
  Case c;
  c.bench("BM2", 11);
  c.back("L1", "BM1", 2);
  c.back("L1", "BM2", 1.02);
  const auto f = c.found();
  REQUIRE(f.get());
  const Lines lines = told(f.told, Grade::doubt);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].find(": back: the line from BM1 over L1 to BM2 closes 20.0 mm") != std::string::npos);
}

TEST_CASE("heights: set-ups of a long line are told by its ends") {
  Case c;
  for (int i = 0; i < 6; ++i) {
    const std::string setup = "L" + std::to_string(i), from = i == 0 ? "BM1" : "T" + std::to_string(i),
                      to = i == 5 ? "BM1" : "T" + std::to_string(i + 1);
    c.back(setup, from, 1);
    c.fore(setup, to, i == 5 ? 1.01 : 1);
  }
  const auto f = c.found();
  REQUIRE(f.get());
  REQUIRE(f.get()->result.lines.size() == 1);
  CHECK(line_closure_words(*f.get(), f.get()->result.lines[0], LengthUnit::metre) ==
        "the line from BM1 over L0 to L5, 6 set-ups, to BM1 closes 10.0 mm too low");
}

TEST_CASE(
    "heights: two housings that differ by more than the beam allows are a doubt at the second reading") {
  // 3.29 x hypot(1.414 mm, 2 x 5 m x 0.01 degrees = 1.745 mm): 7.39 mm.
  for (const double apart : {0.0073, 0.0075}) {
    Case c;
    c.housing("A", "BM1", 2 + apart, Housing::turned);
    c.housing("A", "BM1", 2, Housing::straight);
    const auto f = c.found();
    REQUIRE(f.get());
    Lines lines;
    for (const std::string& line : told(f.told, Grade::doubt))
      if (line.find("housings") != std::string::npos) lines.push_back(line);
    if (apart < 0.0074)
      CHECK(lines.empty());
    else
      CHECK(lines == Lines{"laser.csv:3:8: reading: laser A at BM1: the two housings differ by 7.5 mm, more "
                           "than the 7.4 mm that its beam and two readings allow: a reading is wrong, or the "
                           "laser wants adjusting"});
    CHECK(!f.get()->is_outside());  // the mean cancels the tilt
  }
}

TEST_CASE("heights: a pair of housings is blamed as such, in fractions where the drawing has them") {
  Case c;
  c.site_unit = LengthUnit::foot;
  c.drawing_unit = LengthUnit::feet_inches;
  c.bench("BM2", 10, mm(0.01));
  c.bench("BM3", 10, mm(0.01));
  c.job.benchmarks[0].sd = mm(0.01);
  for (const std::string setup : {"L1", "L2"}) {
    c.back(setup, "BM1", 1);
    c.fore(setup, "BM2", 1);
    c.fore(setup, "BM3", 1);
  }
  const double inch = 0.0254;
  c.housing("A", "BM1", 12 * inch, Housing::straight);
  c.housing("A", "BM1", 12 * inch, Housing::turned);
  c.laser("A", "BM2", 12 * inch, false);
  c.laser("A", "BM3", 12 * inch, false);
  const auto words_of = [&c] {
    const auto f = c.found();
    REQUIRE(f.get());
    REQUIRE(f.get()->result.wrong.size() == 1);
    return wrong_height_words(c.stated(), *f.get(), f.get()->result.wrong[0]);
  };
  c.job.laser[2].reading += m(15.0 / 16 * inch);
  CHECK(words_of() == "BM2 read from A as 1'-0 15/16\" is 15/16\" too much, by the others: read it again");
  c.job.laser[2].reading = m(12 * inch);
  for (const std::size_t i : {0u, 1u}) c.job.laser[i].reading += m((i == 0 ? 15.0 : 14.5) / 16 * inch);
  CHECK(words_of().starts_with("both readings of BM1 from A are 15/16\" too much, by the others"));
  c.job.laser[0].reading = m(13 * inch);
  c.job.laser[1].reading = m(12 * inch);
  CHECK(words_of() ==
        "one of the two readings of BM1 from A is wrong: their mean is 1/2\" too much, by the "
        "others: read both again");
}

TEST_CASE("heights: a set-up without a back, or without a fore, is told at its first row") {
  Case c;
  c.bench("BM2", 10);
  c.back("L1", "BM1", 1);
  c.fore("L1", "TP1", 1);
  c.fore("L2", "TP1", 1);  // back and fore exchanged
  c.fore("L2", "BM2", 1);
  c.back("L3", "BM2", 1);
  c.back("L3", "H1", 1);
  c.back("L4", "BM1", 1);  // checks them
  c.back("L4", "BM2", 1);
  c.fore("L5", "BM1", 1);
  const auto f = c.found();
  REQUIRE(f.get());
  Lines lines;
  for (const std::string& line : told(f.told, Grade::doubt))
    if (line.find("no line goes") != std::string::npos) lines.push_back(line);
  CHECK(
      lines ==
      Lines{"level.csv:4:1: setup: L2 has no back, so no line goes through it: is one of its fores a back?",
            "level.csv:6:1: setup: L3 has no fore, so no line goes through it: is one of its backs a fore?"});
}

TEST_CASE("heights: an open line says what checks it, and sights beside the way are no line") {
  Case c;
  c.bench("BM2", 10);
  c.back("L1", "BM1", 1);
  c.fore("L1", "TP1", 1);
  c.back("L2", "TP1", 1);
  c.fore("L2", "TP2", 1);
  const auto words = [](Case& of) {
    const auto f = of.found();
    REQUIRE(f.get());
    REQUIRE_FALSE(f.get()->result.lines.empty());
    const HeightLine& l = f.get()->result.lines[0];
    return std::string(open_line_words(*f.get(), l)) + (is_sight_beside(*f.get(), l) ? ", beside" : "");
  };
  CHECK(words(c) == "nothing checks it");
  c.laser("A", "BM1", 1, false);
  c.laser("A", "TP1", 1, false);
  CHECK(words(c) == "other readings check a part of it");
  c.laser("A", "TP2", 1, false);
  CHECK(words(c) == "other readings check it");
  Case one;
  one.back("L1", "BM1", 1);
  one.fore("L1", "H1", 1);
  one.fore("L1", "H2", 1);
  CHECK(words(one) == "nothing checks it");
  one.bench("BM2", 10);
  one.fore("L2", "H1", 1);
  one.fore("L2", "BM2", 1);
  CHECK(words(one) == "other readings check a part of it, beside");
}

TEST_CASE("heights: measured decks are shots where no bay states its elevation") {
  Case c;
  c.laser("A", "BM1", 0, false);
  c.laser("A", "H1", 4, true, AsbuiltLevel::deck);
  c.laser("A", "H2", 4.1, true, AsbuiltLevel::deck);
  const auto f = c.found();
  REQUIRE(f.get());
  MeasuredDecks decks = measured_decks(*f.get(), c.laid.marks);
  REQUIRE(decks.at_marks.size() == 2);
  CHECK(!decks.everywhere);
  Messages there;
  there.doubt("here", decks.at_marks[1].at, "target", "here");
  CHECK(told(there, Grade::doubt) == Lines{"laser.csv:4:3: target: here"});
  CHECK(measured_shots(decks, c.laid.marks, {}).size() == 2);
  BaysStated bays;
  bays.names = {"west", "east"};
  for (const double x : {-1.0, 1.0})
    bays.outlines.push_back(
        std::get<Outline>(Outline::make(std::vector{xy(x, -1), xy(x + 2, -1), xy(x + 2, 3), xy(x, 3)})));
  bays.levels = {std::nullopt, Elevation::metres(14)};
  const auto shots = measured_shots(decks, c.laid.marks, bays);
  REQUIRE(shots.size() == 1);
  CHECK(shots[0].name == "H1");
  CHECK(shots[0].bay == "west");
  c.laser("A", "H3", 4.1, true, AsbuiltLevel::deck);
  const auto all = c.found();
  CHECK(measured_decks(*all.get(), c.laid.marks).everywhere);
}

TEST_CASE("heights: brackets are judged against their design, guarded by their sd") {
  Case c;
  c.laid.floor = Elevation::metres(10);
  c.laid.attach_height = m(2.5);
  c.laser("A", "BM1", 0, false, {}, 1);
  c.laser("A", "H1", 2.5025, true, AsbuiltLevel::bracket, 1);
  c.laser("A", "H2", 2.495, true, AsbuiltLevel::bracket, 1);
  const auto f = c.found();
  REQUIRE(f.get());
  AsbuiltOptions options;
  auto judged = judge_brackets(*f.get(), options, c.laid.view());
  REQUIRE(judged.get());
  REQUIRE(judged.get()->rows.size() == 2);
  CHECK(judged.get()->rows[0].up.metres() == doctest::Approx(0.0025));
  CHECK(judged.get()->rows[0].verdict == Verdict::within);
  CHECK(judged.get()->rows[1].verdict == Verdict::outside);
  options.guarded = true;
  judged = judge_brackets(*f.get(), options, c.laid.view());
  CHECK(judged.get()->rows[0].verdict == Verdict::unsure);  // 2.5 mm of 3, good to 1.4 mm
  c.laid.attach_height.reset();
  judged = judge_brackets(*f.get(), options, c.laid.view());
  CHECK(judged.get()->rows.empty());
  CHECK(told(judged.told, Grade::doubt).size() == 1);
  Case none;
  none.laser("A", "BM1", 0, false);
  CHECK(judge_brackets(*none.found().get(), options, none.laid.view()).came == Came::absent);
}
