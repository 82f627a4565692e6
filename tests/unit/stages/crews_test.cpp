#include "stages/crews.h"

#include <doctest/doctest.h>

#include "unit/stages/plain_overhead.h"

using namespace plain;
using Strings = std::vector<std::string>;
constexpr CrewWork kFloor = CrewWork::floor, kDeck = CrewWork::deck, kHang = CrewWork::hang;

namespace {

/// A crew whose section stands on that line, its runs on the next and its points on the one after that.
StatedCrew crew(const std::string& name, std::uint32_t line, const Strings& runs, const Strings& points = {},
                std::vector<CrewWork> does = {kFloor, kDeck, kHang}) {
  StatedCrew out{name, Where::at("job.toml", {line, 1}), {}, {}, {}, {}, std::move(does)};
  for (const std::string& r : runs) out.runs.push_back({r, Where::at("job.toml", {line + 1, 9})});
  for (const std::string& p : points) out.points.push_back({p, Where::at("job.toml", {line + 2, 9})});
  return out;
}

struct Case {
  JobMarks marks;
  std::vector<StatedCrew> crews;
  std::vector<StatedRun> runs{};
  Staged<Crews> find() const { return find_crews({crews, runs}, marks); }
};

Strings texts(const Crews& crews, std::size_t marks) {
  Strings out;
  for (std::size_t m = 0; m < marks; ++m) out.emplace_back(crews.text(m));
  return out;
}
std::vector<std::uint32_t> marks_of_crew(const Crews& crews, std::size_t crew) {
  const auto marks = crews.marks(crew);
  return {marks.begin(), marks.end()};
}

const std::vector<PlainMark> kMarks{
    {"A1", 0, 0, "A"}, {"A2", 1, 0, "A"}, {"B1", 0, 5, "B"}, {"FREE", 9, 9}, {"b2", 1, 5, "b"}};

}  // namespace

TEST_CASE("a crew has the points of its runs and those it names; letter case does not matter") {
  const Case c{marks_of(kMarks),
               {crew("south", 10, {"b"}, {"free"}), crew("north", 20, {"A"}, {"B2"}, {kFloor})}};
  const auto found = c.find();
  REQUIRE(found.is_there());
  // Names stand in the order of the job file, whatever gave the point to the crew.
  CHECK(texts(*found.value, 5) == Strings{"north", "north", "south", "south", "south north"});
  CHECK(marks_of_crew(*found.value, 0) == std::vector<std::uint32_t>{2, 3, 4});
  CHECK(marks_of_crew(*found.value, 1) == std::vector<std::uint32_t>{0, 1, 4});
  CHECK(found.value->has(1, 4));
  CHECK_FALSE(found.value->has(1, 2));
}

TEST_CASE("supports belong to the crews of their hanger, and are no point that is doubted") {
  std::vector<PlainMark> rows{
      {"P1", 0, 0, "R"}, {"P2", 1, 0, "R"}, {"P2-a", 1, 1, "R"}, {"P2-b", 1, -1, "R"}};
  Case c{marks_of(rows), {crew("one", 10, {}, {"P2"}), crew("two", 20, {}, {"P2"}, {kHang})}};
  c.marks.drawn = c.marks.supports = 2;
  c.marks.from_run = {kOfHanger | 1U, kOfHanger | 1U};
  const auto found = c.find();
  REQUIRE(found.is_there());
  CHECK(texts(*found.value, 4) == Strings{"", "one two", "one two", "one two"});
  CHECK(
      told(found.told, Grade::doubt) ==
      Strings{"drawing.csv:2:1: point: P1 is in no crew: no crew's list has it",
              "drawing.csv:3:1: point: P2 is in more than one crew for hang (one and two): leave it in one"});
  c.crews = {crew("one", 10, {"R"}, {"p2-b"})};
  CHECK(told(c.find().told, Grade::problem) ==
        Strings{
            "job.toml:12:9: crew.points: found \"p2-b\", a support of a trapeze, expected the hanger that it "
            "carries: its supports go with it; try \"P2\""});
}

TEST_CASE("two crews at one point are a doubt only where they do the same work") {
  struct Row {
    std::vector<CrewWork> one, two, three;
    std::string told;  ///< empty: no doubt
  };
  for (const Row& r :
       {Row{{kFloor}, {kDeck}, {kHang}, ""},
        Row{{kFloor, kDeck}, {kHang, kDeck}, {kFloor}, "floor (one and three), deck (one and two)"},
        Row{{kFloor, kDeck}, {kFloor, kDeck}, {kHang}, "floor and deck (one and two)"},
        Row{{kHang}, {kHang}, {kHang}, "hang (one and two and three)"}}) {
    const Case c{marks_of({{"P", 0, 0, "R"}}),
                 {crew("one", 10, {"R"}, {}, r.one), crew("two", 20, {"R"}, {}, r.two),
                  crew("three", 30, {"R"}, {}, r.three)}};
    const auto found = c.find();
    REQUIRE(found.is_there());
    CHECK(told(found.told, Grade::doubt) ==
          (r.told.empty() ? Strings{}
                          : Strings{"drawing.csv:2:1: point: P is in more than one crew for " + r.told +
                                    ": leave it in one"}));
  }
}

TEST_CASE("points in no crew and in two are counted exactly, the first ten told") {
  std::vector<PlainMark> rows;
  for (int i = 0; i < 25; ++i) rows.push_back({"L" + std::to_string(i), 1.0 * i, 0});
  for (int i = 0; i < 12; ++i) rows.push_back({"S" + std::to_string(i), 1.0 * i, 5, "R"});
  const Case c{marks_of(rows), {crew("one", 10, {"R"}), crew("two", 20, {"R"})}};
  const auto found = c.find();
  REQUIRE(found.is_there());
  CHECK(found.told.doubts() == 37);
  const Strings lines = told(found.told, Grade::doubt);
  CHECK(lines.size() == 22);
  CHECK(std::ranges::count_if(lines,
                              [](const std::string& l) { return l.find("is in no crew") != l.npos; }) == 10);
}

TEST_CASE("runs and points that are not there are told, each at its place; a run without hangers is there") {
  Case c{marks_of(kMarks), {crew("one", 10, {"A", "AA", ""}, {"A1", "A9"}), crew("two", 20, {"C"}, {"x"})}};
  c.runs = {line("c", 0, 0, 1, 0)};
  const auto found = c.find();
  CHECK(found.is_spoiled());
  CHECK(told(found.told, Grade::problem) ==
        Strings{"job.toml:11:9: crew.runs: found \"AA\", expected a run of the drawing (c, A, B); try \"A\"",
                "job.toml:11:9: crew.runs: found \"\", expected a run of the drawing (c, A, B)",
                "job.toml:12:9: crew.points: found \"A9\", expected a point of the drawing",
                "job.toml:22:9: crew.points: found \"x\", expected a point of the drawing"});
  CHECK(told(found.told, Grade::doubt).empty());  // of what is spoiled nothing more is said
}

TEST_CASE("a crew without points is a doubt") {
  Case c{marks_of(kMarks), {crew("one", 10, {"A", "B"}, {"FREE"}), crew("two", 20, {"C"})}};
  c.runs = {line("C", 0, 0, 1, 0)};
  const auto found = c.find();
  REQUIRE(found.is_there());
  CHECK(told(found.told, Grade::doubt) ==
        Strings{"job.toml:20:1: crew: crew \"two\" has no point: no list is written for it"});
  CHECK(found.value->is_empty(1));
  CHECK_FALSE(found.value->is_empty(0));
}

TEST_CASE("a share is the whole job, or a crew's marks as far as it does the work") {
  Case c{marks_of(kMarks), {crew("one", 10, {"A"}, {}, {kDeck})}};
  c.crews[0].setups = {1};
  const auto found = c.find();
  REQUIRE(found.is_there());
  const auto shares = crew_shares(found.get());
  REQUIRE(shares.size() == 2);
  const CrewShare &all = shares[0], &one = shares[1];
  CHECK((all.is_whole() && all.has(2) && all.does(kFloor) && all.works_from(7) && all.name().empty()));
  CHECK((!one.is_whole() && one.has(0) && !one.has(2) && one.name() == "one"));
  CHECK(
      (one.does(kDeck) && !one.does(kFloor) && one.does_marks() && one.works_from(1) && !one.works_from(0)));
  CHECK(crew_shares(nullptr).size() == 1);
}
