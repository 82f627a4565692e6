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
  HeightsStated stated() const { return {job, Elevation::metres(10), datum, LengthUnit::metre}; }
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
                                            "higher than by BM1, permitted 3.0 mm; "
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
