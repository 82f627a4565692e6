#include "stages/shape.h"

#include <doctest/doctest.h>

#include <variant>

#include "unit/stages/plain.h"

using namespace plain;

namespace {

/// Two runs of seven at 1.2 m, 2 m apart; the third point of the first slipped along.
std::vector<PlainMark> rows(double by) {
  std::vector<PlainMark> out;
  for (const double y : {1.0, 3.0})
    for (int k = 0; k < 7; ++k)
      out.push_back({(y < 2 ? "A" : "B") + std::to_string(k + 1), 1 + 1.2 * k + (y < 2 && k == 2 ? by : 0), y,
                     y < 2 ? "R1" : "R2"});
  return out;
}

ShapeFound found_in(const JobMarks& marks, ShapeAgainst against = {}) {
  return begin_shape(marks.table, marks.drawn, std::move(against), LengthUnit::metre).get();
}

StatedRun line(std::string name, double y, StatedRun::Kind kind = StatedRun::Kind::line) {
  return {std::move(name), kind, xy(1, y), xy(9, y), std::nullopt, std::nullopt};
}

}  // namespace

TEST_CASE("a slip is found at its mark, and that mark alone is told") {
  const JobMarks marks = marks_of(rows(0.163));
  const ShapeFound found = found_in(marks);
  CHECK(found.any_runs);
  REQUIRE(found.breaks.size() == 1);
  CHECK(found.breaks[0].point == 2);
  CHECK(found.tells(2));
  CHECK_FALSE(found.tells(1));
  CHECK(told(tell_shape(found, marks, {}, LengthUnit::metre), Grade::doubt) ==
        std::vector<std::string>{
            "drawing.csv:4:1: point: A3: x 3.563 m breaks the even spacing of R1 by 0.163 m; "
            "3.400 m would fit: look at the drawing"});
}

TEST_CASE("reference points and points without a run belong to no pattern") {
  std::vector<PlainMark> all = rows(0);
  all.insert(all.begin() + 3, PlainMark{"REF", 3.9, 1.7, "R1", "reference"});
  all.push_back({"free", 5.55, 1.01});
  CHECK(found_in(marks_of(all)).breaks.empty());
  const ShapeFound none = found_in(marks_of({{"P", 1, 2}, {"Q", 2, 3}}));
  CHECK(none.breaks.empty());
  CHECK_FALSE(none.any_runs);
}

TEST_CASE("lines of the runs table stand beside the drawing's runs, but one whose points are drawn") {
  const std::vector<StatedRun> runs{line("S1", 5), line("r1", 0.4), line("S2", 7.3), line("S3", 9),
                                    line("S4", 11)};
  const ShapeFound found = found_in(marks_of(rows(0)), {runs, {}});
  CHECK(found.lines == std::vector<std::uint32_t>{0, 2, 3, 4});
  REQUIRE(found.breaks.size() == 1);
  CHECK(!found.breaks[0].point);
  const JobMarks marks = marks_of(rows(0));
  const auto lines = shape_lines(found, *marks, runs);
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].run == "S2");
  CHECK(lines[0].point.empty());
  CHECK(lines[0].found.expected.at.y.metres() == doctest::Approx(7));
}

TEST_CASE("a point keyed with another run is told with the name of the run whose gap it fills") {
  std::vector<PlainMark> all = rows(0);
  all[2].run = "R2";
  const JobMarks marks = marks_of(all);
  const ShapeFound found = found_in(marks);
  const auto lines = shape_lines(found, *marks, {});
  REQUIRE(lines.size() == 1);
  CHECK(lines[0].point == "A3");
  CHECK(lines[0].run == "R2");
  CHECK(lines[0].fits_run == "R1");
}

TEST_CASE("a run of which too many points differ is told once, but not where hangers clear obstructions") {
  std::vector<PlainMark> all;
  for (int r = 0; r < 5; ++r)
    for (int k = 0; k < 10; ++k)
      all.push_back(
          {"P" + std::to_string(r) + std::to_string(k), 1 + 1.2 * k, 2.0 + 1.5 * r, "R" + std::to_string(r)});
  all[13].x += 0.163, all[16].x -= 0.271;
  const JobMarks marks = marks_of(all);
  CHECK(told(tell_shape(found_in(marks), marks, {}, LengthUnit::metre), Grade::doubt) ==
        std::vector<std::string>{
            "drawing.csv:12:1: point: spacing of R1 not judged: 2 of 10 points differ: look at the drawing"});
  const std::vector<Point<Drawing>> corners{xy(4, 3), xy(5, 3), xy(5, 4), xy(4, 4)};
  const ShapeFound beside = found_in(marks, {{}, {{std::get<Outline>(Outline::make(corners)), m(0)}}});
  CHECK(beside.unsure.empty());
}

TEST_CASE("a point that stands clear of what it would stand in was moved on purpose") {
  const auto duct = [](double x) {
    const std::vector<Point<Drawing>> corners{xy(x - 0.1, 0.9), xy(x + 0.1, 0.9), xy(x + 0.1, 1.1),
                                              xy(x - 0.1, 1.1)};
    return std::get<Outline>(Outline::make(corners));
  };
  const JobMarks marks = marks_of(rows(0.163));
  CHECK(found_in(marks, {{}, {{duct(3.4), m(0)}}}).breaks.empty());
  CHECK(found_in(marks, {{}, {{duct(3.25), m(0)}}}).breaks.size() == 1);
  CHECK(found_in(marks, {{}, {{duct(3.25), mm(60)}}}).breaks.empty());
  CHECK(found_in(marks, {{}, {{duct(3.25), mm(250)}}}).breaks.size() == 1);  // it stands in it where it is
  // Each obstruction has its own clearance.
  CHECK(found_in(marks, {{}, {{duct(3.25), mm(60)}, {duct(9), m(0)}}}).breaks.empty());
  CHECK(found_in(marks, {{}, {{duct(3.25), m(0)}, {duct(9), mm(60)}}}).breaks.size() == 1);
}
