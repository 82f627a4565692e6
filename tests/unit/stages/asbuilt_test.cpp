#include "stages/asbuilt.h"

#include <doctest/doctest.h>

#include <cmath>

#include "unit/stages/plain_shots.h"

using namespace plain;

namespace {

using Lines = std::vector<std::string>;
constexpr AsbuiltLevel kFloor = AsbuiltLevel::floor, kDeck = AsbuiltLevel::deck,
                       kBracket = AsbuiltLevel::bracket;

// The design of a mark is N 100 + y, E 200 + x.
struct Case {
  PlainLaid laid;
  PlainAsbuilt stated;
  Case(const std::vector<PlainMark>& marks, const std::vector<PlainShot>& shots) : laid(laid_of(marks)) {
    stated.asbuilt = shots_of(shots);
  }
  Staged<AsbuiltFound> run(const Setups* setups = nullptr) const {
    return check_asbuilt(stated.view(), laid.view(), {setups});
  }
};

/// A grid of 3 by 4 marks `M0` ... `M11`, 3 m apart along x and 2.2 m along y, with a little scatter.
std::vector<PlainMark> grid() {
  std::vector<PlainMark> out;
  for (std::size_t i = 0; i < 12; ++i)
    out.push_back({"M" + std::to_string(i), 5 + 3.0 * static_cast<double>(i % 4),
                   7 + 2.2 * static_cast<double>(i / 4), "R" + std::to_string(i / 4)});
  return out;
}
double wobble(std::size_t i, double k) { return 0.001 * std::sin(k * static_cast<double>(i + 1)); }
Point<Site> built(const PlainMark& mark, std::size_t i, double north, double east) {
  return at(100 + mark.y + north + wobble(i, 12.9), 200 + mark.x + east + wobble(i, 78.2));
}

}  // namespace

TEST_CASE("no table of shots, nothing found") {
  Case c({{"A", 0, 0}}, {});
  c.stated.asbuilt.table = nullptr;
  CHECK(c.run().came == Came::absent);
}

TEST_CASE("shots meet marks by name, floor number and deck number, and are held against the design") {
  Case c({{"A", 10, 20}, {"B", 30, 20, "", "", 2.5}, {"REF", 0, 0, "", "reference"}},
         {{"1002", at(120.002, 230.001), 3.503, kBracket},
          {"a", at(119.997, 210.004), 1.002},
          {"6001", at(120, 210), 5.99},
          {"B", at(120, 230), 6.03, kDeck, "", "", mm(1)},
          {"ref", xy(0, 0.001)}});
  c.stated.floor = Elevation::metres(1);
  c.laid.floor = Elevation::metres(1);
  c.laid.put_deck(6);
  const auto r = c.run();
  REQUIRE(r.is_there());
  const auto& rows = r.value->rows;
  REQUIRE(rows.size() == 5);
  const std::uint32_t marks[] = {1, 0, 0, 1, 2};
  const AsbuiltLevel levels[] = {kBracket, kFloor, kDeck, kDeck, kFloor};
  const double x[] = {1, 4, 0, 0, 0}, y[] = {2, -3, 0, 0, 1};
  for (std::size_t i = 0; i < 5; ++i) {
    CAPTURE(i);
    CHECK(rows[i].shot == i);
    CHECK(rows[i].mark == marks[i]);
    CHECK(rows[i].level == levels[i]);
    CHECK(rows[i].off.by.x.millimetres() == doctest::Approx(x[i]).epsilon(1e-6));
    CHECK(rows[i].off.by.y.millimetres() == doctest::Approx(y[i]).epsilon(1e-6));
  }
  CHECK(rows[0].up->metres() == doctest::Approx(0.003));
  CHECK(rows[1].up->millimetres() == doctest::Approx(2));
  CHECK(rows[2].up->millimetres() == doctest::Approx(-10));
  CHECK(rows[2].height == Verdict::within);  // the flatness is 20 mm
  CHECK(rows[3].height == Verdict::outside);
  CHECK_FALSE(rows[4].up.has_value());
  CHECK(rows[1].sd.millimetres() == doctest::Approx(2));
  CHECK(rows[3].sd.millimetres() == doctest::Approx(1));
  CHECK(r.value->missing.empty());
  CHECK(r.value->doubled.empty());
  CHECK(r.value->levels.size() == 3);
  CHECK(asbuilt_number(c.laid.numbers, rows[0]) == 1002);
  CHECK(asbuilt_number(c.laid.numbers, rows[1]) == 1001);
  CHECK(asbuilt_number(c.laid.numbers, rows[2]) == 6001);

  c.stated.floor = std::nullopt;  // a floor that nobody stated judges no height
  CHECK_FALSE(c.run().value->rows[1].up.has_value());
  c.stated.flatness = mm(5);
  CHECK(c.run().value->rows[2].height == Verdict::outside);
}

TEST_CASE("what the ties leave in the design's place counts with the shot") {
  Case c({{"A", 0, 0}}, {{"A", at(100.003, 200)}});
  c.laid.placed.fit.covariance[0][0] = c.laid.placed.fit.covariance[1][1] = 9e-6;  // 3 mm
  CHECK(c.run().value->rows[0].sd.millimetres() == doctest::Approx(std::sqrt(4.0 + 9.0)));
  c.stated.asbuilt.options.sd = mm(4);
  CHECK(c.run().value->rows[0].sd.millimetres() == doctest::Approx(5));
}

TEST_CASE("what is wrong with names and levels is told for every shot, and then nothing is judged") {
  Case c({{"A", 0, 0}, {"1001", 5, 0}, {"REF", 9, 0, "", "reference"}, {"T", 12, 0}},
         {{"1001", at(100, 200)},
          {"6004", at(100, 212), {}, kBracket},
          {"REF", at(100, 209), {}, kDeck},
          {"T", at(100, 212), {}, kDeck},
          {"T", at(100, 212), {}, kBracket},
          {"6001", at(100, 200), {}, kDeck}});
  c.laid.put_deck(6);
  c.laid.marks.bridged = {0, 0, 0, 1};
  const auto r = c.run();
  CHECK(r.is_spoiled());
  CHECK(
      told(r.told, Grade::problem) ==
      Lines{"shots.csv:2:1: point: found \"1001\", the name of one point and the number of \"A\", expected "
            "a text with one meaning; try 1002 for the one, A for the other",
            "shots.csv:3:11: level: found bracket with \"6004\", a deck number, expected deck, or the floor "
            "number 1004",
            "shots.csv:3:11: level: found deck for \"T\", a hanger that a trapeze bridges, expected its "
            "floor mark or bracket, or the supports of the trapeze, -a and -b; try floor",
            "shots.csv:4:10: level: found deck for \"REF\", a reference point, expected floor: a reference "
            "point is not carried up; try floor",
            "shots.csv:5:8: level: found deck for \"T\", a hanger that a trapeze bridges, expected its floor "
            "mark or bracket, or the supports of the trapeze, -a and -b; try floor"});
  CHECK(told(r.told, Grade::doubt).empty());
}

TEST_CASE("shots without a point, far from it, twice; points without a shot") {
  Case c({{"A", 0, 0}, {"B", 5, 0}, {"C", 9, 0}, {"REF", 12, 0, "", "reference"}},
         {{"X", at(0, 0)},
          {"A", at(100, 200)},
          {"B", at(100, 305.001)},
          {"A", at(100.002, 200)},
          {"A", at(100.004, 200), {}, kBracket}});
  const auto r = c.run();
  REQUIRE(r.is_there());
  CHECK(r.value->unmatched == std::vector<std::size_t>{0});
  CHECK(r.value->missing == std::vector<std::uint32_t>{2});
  REQUIRE(r.value->doubled.size() == 1);
  CHECK(r.value->doubled[0] == std::pair<std::size_t, std::size_t>{0, 2});  // rows, not shots
  CHECK(
      told(r.told, Grade::doubt) ==
      Lines{"shots.csv: point: no shot of 1 point: C",
            "shots.csv:2:1: point: \"X\" is not in the drawing: neither a name nor a number; it is not "
            "judged",
            "shots.csv:4:1: point: B lies 100.0010 m from its design: another unit, digits left out, or "
            "northing and easting exchanged?",
            "shots.csv:5:1: point: A was shot twice on the floor, lines 3 and 5, 2.0 mm apart in plan: both "
            "are judged"});
  c.stated.asbuilt.shots.rows[2].at = at(100, 305);  // 100 m are not over 100 m
  CHECK(told(c.run().told, Grade::doubt).size() == 3);
}

TEST_CASE("shots that all lie far from their points are one doubt of their table") {
  const auto told_of = [](double last) {
    Case c({{"A", 0, 0}, {"B", 5, 0}, {"C", 9, 0}},
           {{"A", at(100, 2000)}, {"B", at(100, 2050)}, {"C", at(100, last)}});
    return told(c.run().told, Grade::doubt);
  };
  CHECK(told_of(2090) == Lines{"shots.csv: point: all 3 shots lie far from their designs, A the first, by "
                               "1800.0000 m: another unit, or northing and easting exchanged?"});
  CHECK(told_of(209).size() == 2);
}

TEST_CASE("by nearness: each level by itself, in the order of the shots") {
  // Two shots on the floor and two brackets over the same marks; one shot between two marks; one far off.
  Case c({{"A", 0, 0}, {"B", 1, 0}, {"C", 1.2, 0}}, {{"p", at(100.01, 200), {}, kBracket},
                                                     {"q", at(100.02, 201)},
                                                     {"r", at(100, 201.1), {}, kBracket},
                                                     {"s", at(100.03, 200)},
                                                     {"t", at(100.151, 200), {}, kDeck},
                                                     {"u", at(100.15, 200), {}, kDeck}});
  c.laid.put_deck(6);
  c.stated.asbuilt.options.by_nearest = true;
  const auto r = c.run();
  REQUIRE(r.is_there());
  std::vector<std::tuple<std::size_t, std::uint32_t, AsbuiltLevel>> rows;
  for (const AsbuiltRow& row : r.value->rows) rows.emplace_back(row.shot, row.mark, row.level);
  CHECK(rows == decltype(rows){{0, 0, kBracket}, {1, 1, kFloor}, {3, 0, kFloor}, {5, 0, kDeck}});
  CHECK(r.value->unmatched == std::vector<std::size_t>{4});
  REQUIRE(r.value->ambiguous.size() == 1);
  CHECK(r.value->ambiguous[0].shot == 2);
  const Lines lines = told(r.told, Grade::doubt);
  REQUIRE(lines.size() == 3);
  CHECK(lines[0] == "shots.csv: point: no shot of 1 point: C");
  CHECK(lines[1].starts_with("shots.csv:4:1: point: r lies near "));
  CHECK(
      lines[2] ==
      "shots.csv:6:1: point: t lies further than 150.0 mm from every point of the drawing: it is not judged");
  c.stated.asbuilt.options.radius = mm(10);
  CHECK(c.run().value->rows.size() == 1);
}

TEST_CASE("shots of another floor are set aside, and are told as the caller asks") {
  // Two of three shots on the floor read 4.2 m too high; one of theirs has no elevation.
  Case c({{"A", 0, 0}, {"B", 5, 0}, {"C", 9, 0}, {"D", 12, 0}, {"E", 15, 0}},
         {{"A", at(100, 200)},
          {"B", at(100, 205), 5.2},
          {"C", at(100, 209), 5.2},
          {"D", at(100, 212), 1.002},
          {"D", at(100, 212), {}, kBracket}});
  c.stated.floor = Elevation::metres(1);
  const auto r = c.run();
  REQUIRE(r.is_there());
  const AsbuiltFound& f = *r.value;
  REQUIRE(f.other_floors.size() == 1);
  REQUIRE(f.aside.size() == 3);
  CHECK(f.aside[1].shot == 1);
  CHECK(f.aside[1].mark == 1);
  CHECK(f.aside[1].level == kFloor);
  REQUIRE(f.rows.size() == 2);
  CHECK(f.rows[0].shot == 3);
  CHECK(f.rows[1].level == kBracket);
  CHECK(f.missing == std::vector<std::uint32_t>{4});  // those set aside were shot

  const std::string words =
      "2 of 3 shots on the floor read 4.2000 m too high: another floor, another height datum, or a target "
      "height that was not keyed (1 shot without a known height beside them)";
  Messages problem, doubt;
  tell_other_floors(c.stated.view(), f, problem, Grade::problem);
  CHECK(
      told(problem, Grade::problem) ==
      Lines{"shots.csv:3:7: elevation: found " + words +
            ", expected shots within 500.0 mm of the design's elevation; try the shots of this floor alone, "
            "or the elevation of the floor that they were taken on"});
  tell_other_floors(c.stated.view(), f, doubt, Grade::doubt);
  CHECK_FALSE(doubt.has_problems());
  CHECK(told(doubt, Grade::doubt) == Lines{"shots.csv:3:7: elevation: " + words + "; they are not judged"});
}

TEST_CASE("each level of another floor is told at its own first shot that has an elevation") {
  Case c({{"A", 0, 0}, {"B", 5, 0}}, {{"A", at(100, 200), 9, kBracket},
                                      {"B", at(100, 205), 9, kBracket},
                                      {"A", at(100, 200)},
                                      {"B", at(100, 205), -3}});
  c.stated.floor = Elevation::metres(0);
  c.laid.attach_height = m(3);
  const auto r = c.run();
  Messages doubt;
  tell_other_floors(c.stated.view(), *r.value, doubt, Grade::doubt);
  const Lines lines = told(doubt, Grade::doubt);
  REQUIRE(lines.size() == 2);
  CHECK(lines[0].starts_with("shots.csv:2:7: elevation: 2 of 2 shots on the bracket read 6.0000 m too high"));
  CHECK(lines[1].starts_with("shots.csv:5:7: elevation: 1 of 1 shot on the floor read 3.0000 m too low"));
}

TEST_CASE("a setup of unknown place is told where another is spelled nearly so") {
  Case c({{"A", 0, 0}, {"B", 5, 0}, {"C", 9, 0}, {"D", 12, 0}},
         {{"A", at(100, 200), {}, {}, "North1", "North2"},
          {"B", at(100, 205), {}, {}, "Nroth1", "elsewhere"},
          {"C", at(100, 209), {}, {}, "Nroth1", "Nort2"},
          {"D", at(100, 212), {}, {}, "elsewhere", "NORTH2"}});
  c.stated.control = {{"North1", at(90, 190), std::nullopt, std::nullopt}};
  StatedSetup s;
  s.name = "North2";
  s.own = ControlMark{at(95, 195), std::nullopt, std::nullopt};
  c.stated.instrument.setups = {s};
  const auto r = c.run();
  CHECK(
      told(r.told, Grade::doubt) ==
      Lines{"shots.csv:3:9: setup: \"Nroth1\" is neither control nor a [[setup]] of the job, but North1 is: "
            "if it is meant, write it so, or that shot's causes are not looked for",
            "shots.csv:4:16: marked_from: \"Nort2\" is neither control nor a [[setup]] of the job, but "
            "North2 is: if it is meant, write it so, or that shot's causes are not looked for"});
  CHECK(r.value->unplaced == std::vector<std::string_view>{"Nroth1", "elsewhere", "Nort2"});
}

TEST_CASE("a shift that all shots share is a cause, along +X and +Y, with its marks") {
  const std::vector<PlainMark> marks = grid();
  std::vector<PlainShot> shots;
  for (std::size_t i = 0; i < marks.size(); ++i)
    shots.push_back({marks[i].name, built(marks[i], i, -0.012, 0.020), {}, {}, "S1"});
  Case c(marks, shots);
  const auto r = c.run();
  REQUIRE(r.value->causes.causes.size() == 1);
  const auto lines = cause_lines(c.stated.view(), c.laid.view(), *r.value);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].cause->kind == CauseKind::shift);
  CHECK(lines[0].group.kind == GroupKind::all);
  CHECK(lines[0].by->by.x.millimetres() == doctest::Approx(20).epsilon(0.05));
  CHECK(lines[0].by->by.y.millimetres() == doctest::Approx(-12).epsilon(0.05));
  REQUIRE(lines[0].numbers.size() == 12);
  CHECK(lines[0].numbers.front() == 1001);
  CHECK(lines[0].numbers.back() == 1012);
  bool by_setup = false;
  for (const NamedGroup& g : lines[0].also) by_setup |= g.kind == GroupKind::setup && g.name == "S1";
  CHECK(by_setup);
}

TEST_CASE("the group of a cause is named as its column names it") {
  struct Named {
    GroupKind kind;
    std::string name;
    void (*put)(PlainShot&);
  };
  const Named all[] = {
      {GroupKind::setup, "S2", [](PlainShot& s) { s.setup = "S2"; }},
      {GroupKind::marked_from, "S3", [](PlainShot& s) { s.marked_from = "S3"; }},
      {GroupKind::reflector, "mini", [](PlainShot& s) { s.reflector = "mini"; }},
      {GroupKind::crew, "east", [](PlainShot& s) { s.crew = "east"; }},
  };
  const std::vector<PlainMark> marks = grid();
  for (const Named& named : all) {
    std::vector<PlainShot> shots;
    for (std::size_t i = 0; i < marks.size(); ++i) {
      const bool moved = i % 2 == 0;
      shots.push_back({marks[i].name, built(marks[i], i, 0, moved ? 0.03 : 0)});
      if (moved) named.put(shots.back());
    }
    const Case c(marks, shots);
    const auto r = c.run();
    const auto lines = cause_lines(c.stated.view(), c.laid.view(), *r.value);
    CAPTURE(named.name);
    REQUIRE(lines.size() == 1);
    CHECK(lines[0].group.kind == named.kind);
    CHECK(lines[0].group.name == named.name);
    CHECK(lines[0].numbers == std::vector<std::uint32_t>{1001, 1003, 1005, 1007, 1009, 1011});
  }
}

TEST_CASE("the group of a cause may be a run or a level") {
  const std::vector<PlainMark> marks = grid();
  std::vector<PlainShot> run, level;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    run.push_back({marks[i].name, built(marks[i], i, marks[i].run == "R1" ? 0.03 : 0, 0)});
    level.push_back({marks[i].name, built(marks[i], i, 0, 0)});
    level.push_back({marks[i].name, built(marks[i], i, 0.03, 0), {}, kBracket});
  }
  const auto group = [](const Case& c) {
    const auto r = c.run();
    const auto lines = cause_lines(c.stated.view(), c.laid.view(), *r.value);
    REQUIRE(lines.size() == 1);
    return lines[0].group;
  };
  const NamedGroup of_run = group(Case(marks, run)), of_level = group(Case(marks, level));
  CHECK(of_run.kind == GroupKind::run);
  CHECK(of_run.name == "R1");
  CHECK(of_level.kind == GroupKind::level);
  CHECK(of_level.name == "bracket");
}

TEST_CASE("a turn about a point is told with that point in the drawing, a height with what it is") {
  const std::vector<PlainMark> marks = grid();
  std::vector<PlainShot> turned, raised;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    // Clockwise by 0.004 about x = 10, y = 8: north falls with the way east.
    const double east = marks[i].x - 10, north = marks[i].y - 8;
    turned.push_back({marks[i].name, built(marks[i], i, -0.004 * east, 0.004 * north)});
    raised.push_back({marks[i].name, built(marks[i], i, 0, 0), 1.012 + wobble(i, 3.3)});
  }
  const Case c(marks, turned);
  const auto r = c.run();
  const auto lines = cause_lines(c.stated.view(), c.laid.view(), *r.value);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].cause->kind == CauseKind::rotation);
  CHECK(lines[0].centre->at.x.metres() == doctest::Approx(10).epsilon(0.05));
  CHECK(lines[0].centre->at.y.metres() == doctest::Approx(8).epsilon(0.05));

  Case up(marks, raised);
  up.stated.floor = Elevation::metres(1);
  const auto heights = up.run();
  REQUIRE(heights.value->causes.causes.size() == 1);
  CHECK(heights.value->causes.causes[0].kind == CauseKind::height);
  CHECK(heights.value->causes.causes[0].value == doctest::Approx(0.012).epsilon(0.05));
}

TEST_CASE("a stretch of shots is told by its first and last: their times, or their lines") {
  const std::vector<PlainMark> marks = grid();
  std::vector<PlainShot> shots;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const bool moved = i >= 5 && i < 10;
    shots.push_back({marks[i].name, built(marks[i], i, moved ? 0.03 : 0, 0), {}, {}, "S1"});
    shots.back().time = "10:" + std::to_string(10 + i);
  }
  Case c(marks, shots);
  const auto r = c.run();
  const auto lines = cause_lines(c.stated.view(), c.laid.view(), *r.value);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].from == "10:15");
  CHECK(lines[0].to == "10:19");
  for (StatedAsbuilt& s : c.stated.asbuilt.shots.rows) s.time = std::nullopt;
  const auto again = c.run();
  const auto by_line = cause_lines(c.stated.view(), c.laid.view(), *again.value);
  REQUIRE(by_line.size() == 1);
  CHECK(by_line[0].from == "line 7");
  CHECK(by_line[0].to == "line 11");
}

TEST_CASE("a reflector constant needs the place of its setup: computed, stated, a control point's") {
  const std::vector<PlainMark> marks = grid();
  const Point<Site> stand = at(103, 203);
  std::vector<PlainShot> shots;
  for (std::size_t i = 0; i < marks.size(); ++i) {
    const Point<Site> p = built(marks[i], i, 0, 0);
    const double longer = 1 + 0.034 / distance(p, stand).metres();
    const Vec<Site> way = p - stand;
    shots.push_back({marks[i].name,
                     at(103 + way.by.northing.metres() * longer, 203 + way.by.easting.metres() * longer),
                     {},
                     {},
                     "S1"});
  }
  Case c(marks, shots);
  const auto has_constant = [&](const Setups* setups = nullptr) {
    const auto r = c.run(setups);
    for (const Cause& cause : r.value->causes.causes)
      if (cause.kind == CauseKind::reflector_constant)
        return std::abs(cause.value - 0.034) < 0.003 && cause.group.kind == GroupKind::setup;
    return false;
  };
  CHECK_FALSE(has_constant());
  CHECK(c.run().value->unplaced == std::vector<std::string_view>{"S1"});

  c.stated.control = {{"Q", at(0, 0), std::nullopt, std::nullopt}, {"s1", stand, std::nullopt, std::nullopt}};
  CHECK(has_constant());
  CHECK(c.run().value->unplaced.empty());

  // A setup of that name comes before the control point: where it was computed, else where it is stated.
  c.stated.control[1].at = at(500, 500);
  StatedSetup other, s;
  other.name = "S0";
  s.name = "s1";
  c.stated.instrument.setups = {other, s};
  CHECK_FALSE(has_constant());
  c.stated.instrument.setups[1].own = ControlMark{stand, std::nullopt, std::nullopt};
  CHECK(has_constant());
  c.stated.instrument.setups[1].own = std::nullopt;
  c.stated.control[0].at = stand;
  c.stated.instrument.setups[1].control = 0;
  CHECK(has_constant());
  c.stated.control[0].at = at(0, 0);
  CHECK_FALSE(has_constant());
  Setups computed;
  computed.setups.resize(2);
  computed.setups[1].emplace();
  computed.setups[1]->result.status = SetupStatus::solved;
  computed.setups[1]->result.at = stand;
  CHECK(has_constant(&computed));
  // The axis counts, and with it how steep the sights are, where the instrument's height is known alone.
  computed.setups[1]->result.elevation = Elevation::metres(0);
  for (StatedAsbuilt& shot : c.stated.asbuilt.shots.rows) shot.elevation = Elevation::metres(30);
  CHECK(has_constant(&computed));
  c.stated.instrument.setups[1].has_height = true;
  CHECK_FALSE(has_constant(&computed));
}

TEST_CASE("a shot that states a large sd is no cause") {
  const std::vector<PlainMark> marks = grid();
  std::vector<PlainShot> shots;
  for (std::size_t i = 0; i < marks.size(); ++i)
    shots.push_back({marks[i].name, built(marks[i], i, i == 5 ? 0.03 : 0, 0)});
  CHECK(Case(marks, shots).run().value->causes.causes.size() == 1);
  shots[5].sd = mm(30);
  CHECK(Case(marks, shots).run().value->causes.causes.empty());
}

TEST_CASE("a bay is a space that many marks have, or one that the ties show") {
  // R2 was marked one space too far along x, or along y.
  const std::vector<PlainMark> marks = grid();
  const auto off = [&](double north, double east) {
    std::vector<PlainShot> shots;
    for (std::size_t i = 0; i < marks.size(); ++i) {
      const bool moved = marks[i].run == "R2";
      shots.push_back({marks[i].name, built(marks[i], i, moved ? north : 0, moved ? east : 0)});
    }
    return Case(marks, shots);
  };
  const auto kind = [](const Case& c) {
    const auto r = c.run();
    return std::string(cause_word(r.value->causes.causes.at(0).kind));
  };
  CHECK(kind(off(0, 3)) == "one-bay");
  CHECK(kind(off(2.2, 0)) == "one-bay");
  Case c = off(0, 4.7);
  CHECK(kind(c) == "shift");
  c.stated.ties = {tie("T1", 0, 0, at(100, 200)), tie("T2", 4.7, 10, at(110, 204.7))};
  CHECK(kind(c) == "one-bay");
}

TEST_CASE("causes are looked for along the baselines as they lie on site, in what was typed") {
  // +X towards azimuth 30, +Y to its right. R1 is a space of 3 m too far along X; M3 has x typed 41 for 14.
  std::vector<PlainMark> marks = grid();
  const FittedTransform fit{claim({.drawing_centre = xy(0, 0),
                                   .site_centre = at(140, 260),
                                   .azimuth_x = Azimuth::degrees(30),
                                   .scale = 1,
                                   .mirrored = true}),
                            {}};
  const auto kinds = [&](bool typed_in_drawing, double bay, double x_typo, double y_typo) {
    std::vector<PlainShot> shots;
    for (std::size_t i = 0; i < marks.size(); ++i) {
      const Point<Drawing> p =
          xy(marks[i].x + wobble(i, 12.9) + (marks[i].run == "R1" ? bay : 0) + (i == 3 ? x_typo : 0),
             marks[i].y + wobble(i, 78.2) + (i == 10 ? y_typo : 0));
      shots.push_back({marks[i].name, p});
      if (!typed_in_drawing) shots.back().at = fit.site_from_drawing(p);
    }
    Case c(marks, shots);
    c.laid.placed.fit = fit;
    c.laid.map();
    c.stated.site_unit = LengthUnit::foot;  // digits were typed in the drawing's unit
    const auto r = c.run();
    std::vector<CauseKind> out;
    for (const Cause& cause : r.value->causes.causes) out.push_back(cause.kind);
    return out;
  };
  using Kinds = std::vector<CauseKind>;
  CHECK(kinds(false, 3, 0, 0) == Kinds{CauseKind::one_bay});
  CHECK(kinds(true, 3, 0, 0) == Kinds{CauseKind::one_bay});
  CHECK(kinds(true, 0, 27, 0) == Kinds{CauseKind::digits});
  CHECK(kinds(true, 0, 0, 1.8) == Kinds{CauseKind::digits});  // M10: y typed 13.1994 for 11.3994
  CHECK(kinds(false, 0, 27, 0) == Kinds{CauseKind::one_point});
}
