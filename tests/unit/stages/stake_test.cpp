#include "stages/stake.h"

#include <doctest/doctest.h>

#include "unit/stages/plain_sights.h"

using namespace plain;

namespace {

/// An instrument at N 100, E 200, which is the drawing's origin, its axis 1.5 m over 10 m.
SetupResult standing_there() {
  SetupResult r;
  r.status = SetupStatus::solved;
  r.at = at(100, 200);
  r.orientation = Angle::degrees(0);
  r.elevation = Elevation::metres(10);
  r.elevation_sd = m(0);
  r.instrument_height = m(1.5);
  return r;
}

struct Case {
  PlainSetups setups;
  std::vector<StatedRun> runs;
  std::vector<std::string> only;
  PlainLaid laid;
  SetupFound found;

  explicit Case(const std::vector<PlainMark>& marks) : laid(laid_of(marks)) {
    laid.floor = Elevation::metres(10);
    found.result = standing_there();
  }
  StakeInput input() const { return {setups.instrument, setups.control, runs, only, setups.plan_tolerance}; }
  StakeList list() const { return stake_list(input(), found, laid.view()); }
};

using Lines = std::vector<std::pair<StakeLevel, std::uint32_t>>;
Lines rows_of(const StakeList& list) {
  Lines out;
  for (const StakeLine& l : list.lines) out.emplace_back(l.level, l.index);
  return out;
}
constexpr StakeLevel kControl = StakeLevel::control, kFloor = StakeLevel::floor, kDeck = StakeLevel::deck;

// As seen from the instrument: REF 5 m east, A1 10 m, A2 20 m; B1 5 m north of A1.
const std::vector<PlainMark> kMarks{
    {"A1", 10, 0, "A"}, {"A2", 20, 0, "A"}, {"B1", 10, 5, "B"}, {"REF", 5, 0, "", "reference"}};

}  // namespace

TEST_CASE("a stake list: control first and last, the floor, then what is fastened to the deck") {
  Case c(kMarks);
  c.laid.put_deck(14);
  c.setups.control = {control("C1", at(0, 200)), control("C2", at(100, 100)), control("C3", at(300, 300))};
  c.found.targets = {{TargetRole::control, 1}, {TargetRole::side, 0}, {TargetRole::control, 0}};
  c.found.reduction.sights.resize(4);
  for (std::size_t i = 1; i < 4; ++i) c.found.reduction.sights[i].target = i - 1;
  const StakeList list = c.list();  // C2 was sighted twice
  CHECK(rows_of(list) == Lines{{kControl, 1},
                               {kControl, 0},
                               {kFloor, 3},
                               {kFloor, 0},
                               {kFloor, 1},
                               {kFloor, 2},
                               {kDeck, 2},
                               {kDeck, 0},
                               {kDeck, 1},
                               {kControl, 1},
                               {kControl, 0}});
  // Floor 5 + 5 + 10 + 11.180, deck 0 + 5 + 10; the shortest: A1, B1, A2 on the floor, A2, A1, B1 on the
  // deck.
  CHECK(list.walk.metres() == doctest::Approx(46.1803));
  CHECK(list.other_walk.metres() == doctest::Approx(41.1803));
  CHECK(list.lines[0].row.flags.check);
  CHECK_FALSE(list.lines[2].row.flags.check);
}

TEST_CASE("the order of a walk is the shortest that was found") {
  Case c(kMarks);
  c.setups.instrument.order = StakeOrder::walk;
  const StakeList list = c.list();
  CHECK(rows_of(list) == Lines{{kFloor, 3}, {kFloor, 0}, {kFloor, 2}, {kFloor, 1}});
  CHECK(list.walk.metres() == doctest::Approx(26.1803));
  CHECK(list.other_walk.metres() == doctest::Approx(31.1803));
}

TEST_CASE("a floor walk that ends far from the deck is none") {
  // By run 1 + 19 + 18.248 m, and the deck begins where that ends. Past the hanger first the floor takes
  // 22.410 m, and ends 18.248 m from it.
  Case c({{"A1", 1, 0, "A", "reference"}, {"A2", 20, 0, "A", "reference"}, {"H", 2, 3}});
  c.laid.put_deck(14);
  c.setups.instrument.order = StakeOrder::walk;
  const StakeList list = c.list();
  CHECK(rows_of(list) == Lines{{kFloor, 0}, {kFloor, 1}, {kFloor, 2}, {kDeck, 2}});
  CHECK(list.walk.metres() == doctest::Approx(38.2483));
  CHECK(list.other_walk.metres() == doctest::Approx(38.2483));
}

TEST_CASE("what to turn and measure: targets over the floor and under the deck") {
  Case c({{"A1", 30, 40}});  // E 230, N 140: 50 m away
  c.laid.put_deck(14);
  c.setups.instrument.stake.target_height = m(0.1);
  c.setups.instrument.stake.deck_target_height = m(-0.2);
  c.found.result.orientation = Angle::degrees(10);
  const StakeList list = c.list();
  REQUIRE(list.lines.size() == 2);
  const StakeRow &floor = list.lines[0].row, &deck = list.lines[1].row;
  CHECK(floor.circle.degrees() == doctest::Approx(36.8699 - 10));
  CHECK(floor.horizontal.metres() == doctest::Approx(50));
  CHECK(floor.rise_from_axis->metres() == doctest::Approx(10 + 0.1 - 11.5));
  CHECK(deck.rise_from_axis->metres() == doctest::Approx(14 - 0.2 - 11.5));
}

TEST_CASE("a mark is weak by the tolerance of marks in plan") {
  // Distance and target leave sds of about 2.2 and 1.6 mm: a 95 % radius of about 4.7 mm.
  Case c({{"A1", 50, 0}});
  CHECK_FALSE(c.list().lines[0].row.flags.weak);
  c.setups.plan_tolerance = mm(3);
  CHECK(c.list().lines[0].row.flags.weak);
}

TEST_CASE("supports are walked in their place along the run, and a bridged hanger on the floor alone") {
  Case c(
      {{"P1", 0, 1, "R"}, {"P2", 0, 10, "R"}, {"P3", 0, 20, "R"}, {"P2-b", 1, 11, "R"}, {"P2-a", 1, 9, "R"}});
  c.laid.marks.drawn = c.laid.marks.supports = 3;
  c.laid.marks.from_run = {kOfHanger | 1U, kOfHanger | 1U};
  c.laid.marks.bridged = {0, 1, 0, 0, 0};
  c.laid.put_deck(14);
  CHECK(rows_of(c.list()) == Lines{{kFloor, 0},
                                   {kFloor, 4},
                                   {kFloor, 1},
                                   {kFloor, 3},
                                   {kFloor, 2},
                                   {kDeck, 2},
                                   {kDeck, 3},
                                   {kDeck, 4},
                                   {kDeck, 0}});
}

TEST_CASE("only the runs that are listed; the case of letters does not matter") {
  Case c(kMarks);
  c.only = {"a"};
  CHECK(rows_of(c.list()) == Lines{{kFloor, 0}, {kFloor, 1}});
  c.only = {"none"};
  CHECK(c.list().lines.empty());
  CHECK(is_listed(*c.laid.marks, {}, 3));
  CHECK(is_listed(*c.laid.marks, {"X", "b"}, 2));
  CHECK_FALSE(is_listed(*c.laid.marks, {"X", "b"}, 3));
}

TEST_CASE("a crew's list: its marks, on the levels that it does") {
  Case c(kMarks);
  c.laid.put_deck(14);
  const auto rows = [&c](std::vector<CrewWork> does) {
    const std::vector<StatedCrew> stated{{"b", {}, {}, {{"B", {}}}, {{"REF", {}}}, {}, std::move(does)}};
    const auto crews = find_crews({stated, c.runs}, c.laid.marks);
    return rows_of(stake_list(c.input(), c.found, c.laid.view(), CrewShare(*crews.get(), 0)));
  };
  CHECK(rows({CrewWork::floor, CrewWork::deck}) == Lines{{kFloor, 3}, {kFloor, 2}, {kDeck, 2}});
  CHECK(rows({CrewWork::deck, CrewWork::hang}) == Lines{{kDeck, 2}});
  CHECK(rows({CrewWork::hang}).empty());
}

TEST_CASE("no list without an orientation, nor from a place without sights") {
  Case c(kMarks);
  c.found.result.orientation = std::nullopt;
  CHECK(c.list().lines.empty());
  c.found.result = standing_there();
  c.found.result.status = SetupStatus::place_only;
  CHECK(c.list().lines.empty());
}

TEST_CASE("a planned list has no control") {
  Case c(kMarks);
  c.setups.control = {control("C1", at(0, 200))};
  PlanFound plan;
  plan.setup = standing_there();
  const StakeList list = planned_list(c.input(), plan, c.laid.view());
  CHECK(rows_of(list) == Lines{{kFloor, 3}, {kFloor, 0}, {kFloor, 1}, {kFloor, 2}});
}
